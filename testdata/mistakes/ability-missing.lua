-- Mistake in line 7: an ability is used that needs do not name.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {}, rig = {} },
  run = function()
    rig.place { x = 0.25, y = 0.25 }
    patches.show { grey = 1, window = 100 }
    record.value { name = "Corner", value = meter.measure {}, unit = "cd/m2" }
  end,
}
