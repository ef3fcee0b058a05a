-- Mistake in line 9: from states a number in place of the reading.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    record.value { name = "Twice white", value = 2 * white.Y, unit = "cd/m2", from = white.Y }
  end,
}
