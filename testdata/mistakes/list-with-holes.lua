-- Mistake in line 13: a list stays empty at its first place, and its length is used.
return procedure {
  title   = "Mean of the greys",
  purpose = "Measures the mean luminance of three greys.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local lit = {}
    local sum = 0
    for i, grey in ipairs { 0, 0.25, 0.5, 1 } do
      patches.show { grey = grey, window = 10 }
      local r = meter.measure {}
      if grey > 0 then
        lit[i] = r.Y
      end
    end
    for _, Y in ipairs(lit) do
      sum = sum + Y
    end
    record.value { name = "Mean", value = sum / #lit, unit = "cd/m2" }
  end,
}
