-- Mistake in line 7: a loop counts down without a step.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    for grey = 10, 0 do
      patches.show { grey = grey / 10, window = 10 }
      record.value { name = "Grey " .. grey, value = meter.measure {}, unit = "cd/m2" }
    end
  end,
}
