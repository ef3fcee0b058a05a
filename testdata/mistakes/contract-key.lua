-- Mistake in line 4: a field of the procedure is misspelt.
return procedure {
  title   = "White",
  porpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
