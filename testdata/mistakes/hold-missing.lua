-- Mistake in line 7: a patch of a sequence does not say how long it stays.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = { sequence = true } },
  run = function()
    patches.sequence { { grey = 1, window = 10, hold = 5 }, { grey = 0 } }
    record.value { name = "Black after white", value = meter.read {}, unit = "cd/m2" }
  end,
}
