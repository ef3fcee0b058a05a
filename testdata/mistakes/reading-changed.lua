-- Mistake in line 9: a reading is corrected in place.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    r.Y = r.Y * 1.02
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
