-- Mistake in line 7: the meter is read before any patch is shown.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local r = meter.read { repeats = 5 }
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
