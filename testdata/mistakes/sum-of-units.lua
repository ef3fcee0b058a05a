-- Mistake in line 12: cd/m2 and % are added.
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
    record.value { name = "White", value = r.Y + p.window, unit = "cd/m2" }
  end,
}
