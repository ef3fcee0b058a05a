-- Mistake in line 12: readings decide how many steps are taken, without run.decide.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    local window, r = 10, nil
    repeat
      patches.show { grey = 1, window = window }
      r = meter.measure { relative = 0.5 }
      window = window + 10
    until r.Y < 300 or window > 100
    record.value { name = "First dimmed white", value = r, unit = "cd/m2" }
  end,
}
