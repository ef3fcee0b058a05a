-- Mistake in line 8: the function of a module is misspelt.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.mesure { relative = 0.5 }
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
