-- Mistake in line 9: a format has more places than values.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    record.note(string.format("white is %.1f, black %.3f", r.Y))
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
