-- Mistake in line 8: half a reading is asked for.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.read { repeats = 2.5 }, unit = "cd/m2" }
  end,
}
