-- Mistake in line 8: a value is recorded without the names of its fields.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { "White", meter.measure {}, "cd/m2" }
  end,
}
