-- Mistake: all steps from black to white are in the fit of the exponent, though the brightest are clipped.
-- Lesson: A fifth of the signal shows as the same white. Those steps say nothing of the curve, but hold the fit down where it is
--   known best. Look at the curve first: steps that are no darker than white are left out, and white itself with them.
-- Right: tone-response
-- Trial: tone-response-clipped, from 80 %
-- Bias: gamma -0.23 to -0.18
return procedure {
  title    = "Exponent from all steps",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local x, y, white = {}, {}, nil
    for i = 4, 20 do
      patches.show { grey = i / 20, window = 10 }
      white = meter.read { after = 2, relative = 0.25 }
      table.insert(x, math.log(i / 20))
      table.insert(y, math.log(white.Y))
    end
    record.value { name = "Gamma", value = stats.line({ x = x, y = y }).slope, unit = "" }
    record.value { name = "White luminance", value = white, unit = "cd/m2" }
  end,
}
