-- Mistake in line 7: a device is used that needs do not name.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
