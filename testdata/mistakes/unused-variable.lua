-- Mistake in line 8: a reading is kept and never used.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.black()
    local black = meter.measure {}
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    record.value { name = "White", value = white, unit = "cd/m2" }
  end,
}
