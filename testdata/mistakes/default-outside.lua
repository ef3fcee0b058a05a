-- Mistake in line 7: the default of a parameter is outside its limits.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    window = { default = 120, unit = "%", min = 1, max = 100, help = "sets the share of the screen" },
  },
  run = function(p)
    patches.show { grey = 1, window = p.window }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
