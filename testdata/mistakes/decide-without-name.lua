-- Mistake in line 9: a decision has no name.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    local bright = run.decide(r.Y > 100)
    record.value { name = "White", value = bright and r or nil, unit = "cd/m2", why = "it is dark" }
  end,
}
