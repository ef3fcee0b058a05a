-- Mistake: the warm-up is watched on full white.
-- Lesson: Full white heats this panel until it protects itself and dims, so that two things are seen as one: the light seems to
--   settle elsewhere and at another time. Warm up on moderate content, and look at heat apart.
-- Right: warm-up
-- Trial: trials/warm-up-by-itself.lua, dims by heat
-- Bias: warm-up-drift 11 to 15
local warming = require "warming"

return procedure {
  title    = "Warm-up, on full white",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local lit = patches.show({ grey = 1 }).lit
    local series = {}
    clock.wait(12)
    clock.every { period = 20, duration = 2400, run = function()
      local r = meter.read { repeats = 5, sync = true }
      table.insert(series, { from = r.began - lit, to = r.ended - lit, y = r.Y })
    end }
    local fit = warming.fit(series)
    local found = warming.settled(fit, 0.5, 600)
    record.value { name = "Warm-up time", value = found.seconds or series[#series].to, unit = "s" }
    record.value { name = "Warm-up drift", value = 100 * (series[1].y / series[#series].y - 1), unit = "%" }
  end,
}
