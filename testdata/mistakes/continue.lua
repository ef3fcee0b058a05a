-- Mistake in line 8: another language's word for the next round of a loop.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    for _, w in ipairs { 10, 50, 100 } do
      if w == 50 then continue end
      patches.show { grey = 1, window = w }
      record.value { name = "White " .. w, value = meter.measure {}, unit = "cd/m2" }
    end
  end,
}
