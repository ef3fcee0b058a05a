-- Mistake in line 7: a variable hides a module that is used later.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local meter = meter.measure { relative = 0.5 }
    patches.show { grey = 0.5, window = 10 }
    local grey = meter.measure {}
    record.value { name = "White", value = meter, unit = "cd/m2" }
    record.value { name = "Grey", value = grey, unit = "cd/m2" }
  end,
}
