-- Mistake in line 8: a variable is made without local.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    white = meter.measure {}
    record.value { name = "White", value = white, unit = "cd/m2" }
  end,
}
