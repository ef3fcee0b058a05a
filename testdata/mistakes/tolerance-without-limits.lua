-- Mistake in line 8: a tolerance states a target where limits belong.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2", tolerance = { target = 500, within = 10 } }
  end,
}
