-- Mistake: the exponent is a straight line through the logarithms of all steps, each with the same weight.
-- Lesson: A dark step that the meter hardly tells from nothing has a logarithm that may be anywhere, and lies far out on the line,
--   where it has the longest lever. Leave out what is near the floor, and weigh the rest by how well it is known.
-- Right: tone-response
-- Trial: trials/exponent-of-a-noisy-meter.lua, noisy meter
-- Scatter: gamma 0.05 or more
return procedure {
  title    = "Tone response, all steps alike",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = { steps = { default = 21, min = 4, max = 256, whole = true, help = "greys from black to white" } },
  run = function(p)
    local x, y = {}, {}
    for i = 1, p.steps - 1 do
      local signal = math.floor(i / (p.steps - 1) * 255 + 0.5) / 255
      patches.show { grey = signal, window = 10, bits = 8 }
      local r = meter.read { after = 2, relative = 0.25 }
      if r.Y > 0 then
        table.insert(x, math.log(signal))
        table.insert(y, math.log(r.Y))
      end
    end
    record.value { name = "Gamma", value = stats.line({ x = x, y = y }).slope, unit = "" }
  end,
}
