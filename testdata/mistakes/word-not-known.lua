-- Mistake in line 7: a word is none of those that are allowed.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10, signal = "hdr10" }
    record.value { name = "White", value = meter.measure {}, unit = "cd/m2" }
  end,
}
