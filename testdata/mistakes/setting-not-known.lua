-- Mistake in line 7: a control is set by a name in the wrong place.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {}, unit = {} },
  run = function()
    unit.set("brightness", 50)
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
