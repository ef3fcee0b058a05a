-- Mistake in line 9: a reading is compared with a number, and not its luminance.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    local word = r > 100 and "bright" or "dark"
    record.value { name = "Impression", value = word }
  end,
}
