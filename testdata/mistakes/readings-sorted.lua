-- Mistake in line 12: readings are sorted as if they were numbers.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local all = {}
    for i, window in ipairs { 1, 10, 100 } do
      patches.show { grey = 1, window = window }
      all[i] = meter.measure {}
    end
    table.sort(all)
    record.value { name = "Middle", value = all[2] }
  end,
}
