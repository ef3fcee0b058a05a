-- Mistake in line 10: a luminance is compared with a text.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local r = meter.measure {}
    local word = "dark"
    if r.Y > "100" then word = "bright" end
    record.value { name = "Impression", value = word }
  end,
}
