-- Mistake in line 13: a library has no such function.
local plateau = require "plateau"
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local rows = {}
    for _, w in ipairs { 10, 50, 100 } do
      patches.show { grey = 1, window = w }
      table.insert(rows, { x = w, reading = meter.measure {} })
    end
    local peak = plateau.highest(rows, 0.5)
    record.value { name = "Peak", value = peak.mean, unit = "cd/m2" }
  end,
}
