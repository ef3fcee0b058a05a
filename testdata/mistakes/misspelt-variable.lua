-- Mistake in line 9: a variable is misspelt.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local reading = meter.measure {}
    record.value { name = "White", value = readng, unit = "cd/m2" }
  end,
}
