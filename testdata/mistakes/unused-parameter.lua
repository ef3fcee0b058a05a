-- Mistake in line 7: a parameter is declared and never used.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    window = { default = 10, unit = "%", min = 1, max = 100, help = "sets the share of the screen" },
  },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
