-- Mistake in line 9: a function of another language's library.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    record.value { name = "White", value = math.round(r.Y), unit = "cd/m2" }
  end,
}
