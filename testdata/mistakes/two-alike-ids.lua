-- Mistake in line 10: two values get the same id.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White luminance", value = meter.measure {}, unit = "cd/m2" }
    patches.show { grey = 1, window = 100 }
    record.value { name = "White luminance", value = meter.measure {}, unit = "cd/m2" }
  end,
}
