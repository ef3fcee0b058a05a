-- Mistake in line 9: the number of the tick is taken for the time.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local t = record.table("Drift", { { "time", "s" }, { "luminance", "cd/m2" } })
    clock.every { period = 30, duration = 90, run = function(seconds)
      t:add { time = seconds, luminance = meter.read { repeats = 3 } }
    end }
  end,
}
