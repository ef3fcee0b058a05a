-- Mistake in line 11: a contrast is computed from the chromaticity y.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    patches.show { grey = 0.2, window = 10 }
    local dark = meter.measure {}
    record.value { name = "Contrast", value = white.y / dark.y, from = { white, dark } }
  end,
}
