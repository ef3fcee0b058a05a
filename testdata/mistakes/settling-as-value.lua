-- Mistake in line 9: what meter.settle returns is recorded as if it were a reading.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 100 }
    local s = meter.settle {}
    record.value { name = "White", value = s }
  end,
}
