-- Mistake in line 10: a whole list is given where one number is wanted.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    windows = { default = { 10, 100 }, unit = "%", min = 1, max = 100, help = "sets the shares of the screen" },
  },
  run = function(p)
    patches.show { grey = 1, window = p.windows }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
