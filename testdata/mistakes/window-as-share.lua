-- Mistake in line 7: a window is written as a share of 1, and not in percent.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 0.1 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
