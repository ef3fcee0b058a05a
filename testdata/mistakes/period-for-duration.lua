-- Mistake in line 9: period and duration of a schedule are exchanged.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local t = record.table("Drift", { { "time", "s" }, { "luminance", "cd/m2" } })
    clock.every { period = 600, duration = 30, run = function(_, seconds)
      t:add { time = seconds, luminance = meter.read { repeats = 3 } }
    end }
  end,
}
