-- Its author wrote it for the default world. What is true there, in the author's words:
--   Drift per minute [%/min]: slope of L over 0 … 10 min of a 0.7 grey (window 10) / mean, %; warm-up from on_for = 7200 s and idle. The number is
--     0.0130987
--   Range [%]: (max - min)/mean of the true L over the 31 ticks, %. The number is 0.296785
--   First to last [%]: L(600 s)/L(0 s) - 1, %. The number is 0.297542
return procedure {
  title = "Drift in ten minutes",
  purpose = "Change of a mid grey over ten minutes after the start, as a slope and as a range.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 0.7, window = 10 }
    local t, Y = {}, {}
    clock.every { period = 20, duration = 600, run = function(tick, s)
      t[#t + 1] = s / 60
      Y[#Y + 1] = meter.read {}.Y
    end }
    local fit = stats.line { x = t, y = Y }
    local lo, hi = math.huge, -math.huge
    for _, v in ipairs(Y) do lo = math.min(lo, v); hi = math.max(hi, v) end
    record.value { name = "Drift per minute", value = 100 * fit.slope / stats.mean(Y), unit = "%/min" }
    record.value { name = "Range", value = 100 * (hi - lo) / stats.mean(Y), unit = "%" }
    record.value { name = "First to last", value = 100 * (Y[#Y] / Y[1] - 1), unit = "%" }
  end,
}
