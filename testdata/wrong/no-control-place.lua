-- Mistake: retention is judged by one place before and after, and no place that was never stressed.
-- Lesson: The panel warms up meanwhile and gives less light everywhere. That is taken for the place's own, and nearly half of
--   the residual is hidden by it. Read a control place in turn with the stressed one: what both do is the panel's.
-- Right: retention
-- Trial: trials/retention.lua, warming
-- Bias: initial-residual -1.5 to -1.0
local stressed = { 0.25, 0.25 }

return procedure {
  title    = "Retention, one place",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = { sequence = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = { within = { default = 0.3, unit = "%", min = 0.01, max = 10, help = "the residual that is allowed" } },
  run = function(p)
    patches.show { grey = 0.2 }
    local before = meter.read({ at = stressed, after = 2, repeats = 20 }).Y
    patches.black()
    clock.wait(300)
    local shown = patches.sequence { { grey = 1, window = 10, at = stressed, hold = 60 }, { grey = 0.2, hold = 0.1 } }
    local lit, from, to, y = shown[2].lit, {}, {}, {}
    for _ = 1, 120 do
      local r = meter.read { at = stressed }
      table.insert(from, r.began - lit)
      table.insert(to, r.ended - lit)
      table.insert(y, 100 * (r.Y / before - 1))
    end
    local fit = stats.decay { from = from, to = to, y = y }
    record.value { name = "Initial residual", value = fit:at(0), unit = "%" }
    record.value { name = "Time to threshold", value = fit:crossing(p.within).x or to[#to], unit = "s" }
  end,
}
