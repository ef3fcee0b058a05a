-- Mistake in line 7: a parameter is a number and not a table with a default.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    window = 10,
  },
  run = function(p)
    patches.show { grey = 1, window = p.window }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
