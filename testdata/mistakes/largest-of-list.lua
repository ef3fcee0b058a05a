-- Mistake in line 13: math.max is given a list.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local all = {}
    for i, window in ipairs { 1, 10, 100 } do
      patches.show { grey = 1, window = window }
      local r = meter.measure {}
      all[i] = r.Y
    end
    record.value { name = "Peak", value = math.max(all), unit = "cd/m2" }
  end,
}
