-- Its author wrote it for the default world. What is true there, in the author's words:
--   First reading [cd/m2]: mean over the first integration after the light changed (limiter tau 0.3 s; depends on the source's latency, 0.02 s = 0.4
--     %: a new truth in each run). The number is 425.712
--   Fall per decade of time [%]: slope of L over log10 time since lit, to 60 s, / last, %; dominated by the first point, likewise. The number is
--     0.848063
--   First over last [1]: L(first integration)/L(60 s). The number is 1.05372
return procedure {
  title = "Decline after switching to full white",
  purpose = "How full white falls in its first minute, with a line over the logarithm of time.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.black()
    clock.wait(120)
    local lit = patches.show { grey = 1 }.lit
    local t, Y = {}, {}
    while clock.now() - lit < 60 do
      local r = meter.read {}
      t[#t + 1] = math.log10((r.began + r.ended) / 2 - lit)
      Y[#Y + 1] = r.Y
    end
    local fit = stats.line { x = t, y = Y }
    record.value { name = "First reading", value = Y[1], unit = "cd/m2" }
    record.value { name = "Fall per decade of time", value = -100 * fit.slope / Y[#Y], unit = "%" }
    record.value { name = "First over last", value = Y[1] / Y[#Y], unit = "1" }
  end,
}
