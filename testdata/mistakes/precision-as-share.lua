-- Mistake in line 8: half a percent is written as a share.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure { relative = 0.005 } }
  end,
}
