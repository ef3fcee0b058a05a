-- Mistake in line 7: colours are written from 0 to 255.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { rgb = { 255, 0, 0 }, window = 10 }
    record.value { name = "Red", value = meter.measure {}, unit = "cd/m2" }
  end,
}
