-- Mistake in line 8: a parameter's value is read as a field of it.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = { window = { default = 10, unit = "%", min = 1, max = 100, help = "sets the share of the screen" } },
  run = function(p)
    patches.show { grey = 1, window = p.window.default }
    record.value { name = "White", value = meter.measure {} }
  end,
}
