-- Mistake in line 10: a parameter is misspelt where it is used.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    window = { default = 10, unit = "%", min = 1, max = 100, help = "sets the share of the screen" },
  },
  run = function(p)
    patches.show { grey = 1, window = p.windwo }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
