-- Mistake in line 9: a number is recorded without its unit.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    record.value { name = "White", value = r.Y }
  end,
}
