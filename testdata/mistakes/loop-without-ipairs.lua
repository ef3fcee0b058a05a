-- Mistake in line 10: a loop goes over a list without ipairs.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    windows = { default = { 10, 100 }, unit = "%", min = 1, max = 100, help = "sets the shares of the screen" },
  },
  run = function(p)
    for _, w in p.windows do
      patches.show { grey = 1, window = w }
      record.value { name = "White " .. w, value = meter.measure {}, unit = "cd/m2" }
    end
  end,
}
