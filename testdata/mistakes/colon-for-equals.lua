-- Mistake in line 7: a field is written with a colon.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey: 1, window: 10 }
    record.value { name = "White", value = meter.measure {} }
  end,
}
