-- Mistake in line 6: nothing is recorded.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    print(r.Y)
  end,
}
