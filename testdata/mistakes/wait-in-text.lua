-- Mistake in line 8: a wait states its unit in a text.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    clock.wait("5 s")
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
