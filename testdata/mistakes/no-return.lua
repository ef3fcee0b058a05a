-- Mistake in line 2: the file returns nothing.
local white = procedure {
  title   = "White",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
