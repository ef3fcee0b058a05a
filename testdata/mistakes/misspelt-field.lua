-- Mistake in line 9: the field of a reading is misspelt.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    record.value { name = "White", value = r.luminance, unit = "cd/m2" }
  end,
}
