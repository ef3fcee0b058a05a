-- Mistake in line 7: a function is named and not called.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.black
    clock.wait(5)
    record.value { name = "Black", value = meter.measure {}, unit = "cd/m2" }
  end,
}
