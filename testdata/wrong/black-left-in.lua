-- Mistake: the exponent is fitted to luminances from which the black level was not taken.
-- Lesson: On a panel lit from behind, black is a tenth of the light of the dark greys. It makes them look too bright, and the
--   exponent too low. The display's curve begins at its black: fit what it adds to that.
-- Right: tone-response
-- Trial: tone-response, lit from behind
-- Bias: gamma -0.15 to -0.08
return procedure {
  title    = "Tone response, black not taken off",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local x, y = {}, {}
    patches.show { grey = 0, window = 10, bits = 8 }
    local black = meter.read { after = 2, relative = 0.25 }
    for i = 1, 20 do
      local signal = math.floor(i / 20 * 255 + 0.5) / 255
      patches.show { grey = signal, window = 10, bits = 8 }
      table.insert(x, math.log(signal))
      table.insert(y, math.log(meter.read({ after = 2, relative = 0.25 }).Y))
    end
    record.value { name = "Black luminance", value = black.Y, unit = "cd/m2" }
    record.value { name = "White luminance", value = math.exp(y[20]), unit = "cd/m2" }
    record.value { name = "Gamma", value = stats.line({ x = x, y = y }).slope, unit = "" }
  end,
}
