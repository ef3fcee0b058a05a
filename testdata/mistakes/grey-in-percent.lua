-- Mistake in line 8: a grey is written in percent.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    for _, grey in ipairs { 25, 50, 75, 100 } do
      patches.show { grey = grey, window = 10 }
      record.value { name = "Grey " .. grey, value = meter.measure {}, unit = "cd/m2" }
    end
  end,
}
