-- Mistake in line 10: a loop records the same value again and again.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    for _, w in ipairs { 10, 50, 100 } do
      patches.show { grey = 1, window = w }
      local r = meter.measure {}
      record.value { name = "White", value = r, unit = "cd/m2" }
    end
  end,
}
