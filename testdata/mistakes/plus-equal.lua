-- Mistake in line 10: another language's sign for adding to a variable.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local sum = 0
    for _, w in ipairs { 10, 50, 100 } do
      patches.show { grey = 1, window = w }
      sum += meter.measure({}).Y
    end
    record.value { name = "Mean", value = sum / 3, unit = "cd/m2" }
  end,
}
