-- Mistake in line 8: a loop over a list begins at 0.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local windows = { 1, 4, 10, 100 }
    for i = 0, #windows do
      patches.show { grey = 1, window = windows[i] }
      record.value { name = "White " .. i, value = meter.measure {} }
    end
  end,
}
