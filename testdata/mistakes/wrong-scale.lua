-- Mistake in line 13: a percentage is recorded in cd/m2.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    window = { default = 10, unit = "%", min = 1, max = 100, help = "sets the share of the screen" },
  },
  run = function(p)
    patches.show { grey = 1, window = p.window }
    local r = meter.measure {}
    record.value { name = "White", value = r, unit = "cd/m2" }
    record.value { name = "Window", value = p.window, unit = "cd/m2" }
  end,
}
