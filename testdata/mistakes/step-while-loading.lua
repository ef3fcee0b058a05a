-- Mistake in line 2: a step is asked while the file loads.
local first = meter.measure { relative = 0.5 }
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = first, unit = "cd/m2" }
  end,
}
