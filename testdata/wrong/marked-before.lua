-- Mistake: the meter is put on a bright box, and the reading before the stress is taken straight after.
-- Lesson: The box that showed where to put the meter has already left a mark, which is in the first reading and not in the
--   residual. Let the panel rest on black before the reading that all else is compared with.
-- Right: retention
-- Trial: trials/retention.lua, marks easily
-- Bias: initial-residual -2.4 to -2.0
local stressed, control = { 0.25, 0.25 }, { 0.75, 0.75 }

return procedure {
  title    = "Retention, on a panel that is marked",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = { sequence = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = { within = { default = 0.3, unit = "%", min = 0.01, max = 10, help = "the residual that is allowed" } },
  run = function(p)
    patches.show { grey = 1, window = 10, at = stressed }
    clock.wait(60)
    patches.show { grey = 0.2 }
    local before = meter.read({ at = stressed, after = 2, repeats = 10 }).Y / meter.read({ at = control, repeats = 10 }).Y
    patches.black()
    clock.wait(300)

    local lit = patches.sequence({ { grey = 1, window = 10, at = stressed, hold = 60 }, { grey = 0.2, hold = 0.1 } })[2].lit
    local from, to, y, levels = {}, {}, {}, {}
    for _ = 1, 60 do
      local r = meter.read { at = stressed }
      table.insert(levels, meter.read({ at = control }).Y)
      table.insert(from, r.began - lit)
      table.insert(to, r.ended - lit)
      table.insert(y, r.Y)
    end
    for i, level in ipairs(y) do y[i] = 100 * (level / stats.mean(levels) / before - 1) end
    local fit = stats.decay { from = from, to = to, y = y }
    record.value { name = "Initial residual", value = fit:at(0), unit = "%" }
    record.value { name = "Time to threshold", value = fit:crossing(p.within).x or to[#to], unit = "s" }
  end,
}
