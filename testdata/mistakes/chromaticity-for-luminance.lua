-- Mistake in line 8: the chromaticity y is taken for the luminance Y.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure({}).y, unit = "cd/m2" }
  end,
}
