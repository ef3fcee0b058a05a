-- Mistake in line 9: a condition assigns where it should compare.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    if r.n = 5 then
      record.note("few readings")
    end
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
