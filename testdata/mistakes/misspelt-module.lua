-- Mistake in line 7: a module is misspelt.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patch.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
