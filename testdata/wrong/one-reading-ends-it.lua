-- Mistake: the residual counts as gone at the first reading that is under the limit.
-- Lesson: Near the limit noise decides, and the series that asks often enough ends on the first dip. The time comes out much too
--   short. Read a schedule to its end, and take the crossing from the whole series.
-- Right: retention
-- Trial: trials/retention.lua, quick meter
-- Bias: time-to-threshold -24 to -16 s
local stressed, control = { 0.25, 0.25 }, { 0.75, 0.75 }

return procedure {
  title    = "Retention, until one reading is under the limit",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = { sequence = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = { within = { default = 0.3, unit = "%", min = 0.01, max = 10, help = "the residual that is allowed" } },
  run = function(p)
    patches.black()
    clock.wait(300)
    patches.show { grey = 0.2 }
    local before = meter.read({ at = stressed, after = 2, repeats = 100 }).Y / meter.read({ at = control, repeats = 100 }).Y
    patches.black()
    clock.wait(300)

    local lit = patches.sequence({ { grey = 1, window = 10, at = stressed, hold = 60 }, { grey = 0.2, hold = 0.1 } })[2].lit
    local level, from, to, y = meter.read({ at = control, repeats = 10 }).Y, {}, {}, {}
    repeat
      local r = meter.read { at = stressed }
      table.insert(from, r.began - lit)
      table.insert(to, r.ended - lit)
      table.insert(y, 100 * (r.Y / level / before - 1))
      local gone = run.decide("gone", y[#y] <= p.within)
    until gone
    record.value { name = "Initial residual", value = stats.decay({ from = from, to = to, y = y, offset = 0 }):at(0), unit = "%" }
    record.value { name = "Time to threshold", value = to[#to], unit = "s" }
  end,
}
