-- Mistake in line 7: arguments are written by place where they have names.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show(1, 10)
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
