-- Mistake in line 9: an end is missing.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    if r.Y > 100 then
      record.note("bright")
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
