-- Mistake in line 2: a library is required that is not there.
local plateaus = require "plateuu"
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
    record.note(plateaus.version)
  end,
}
