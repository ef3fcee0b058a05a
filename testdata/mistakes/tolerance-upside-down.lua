-- Mistake in line 8: the limits of a tolerance are exchanged.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, tolerance = { min = 520, max = 480 } }
  end,
}
