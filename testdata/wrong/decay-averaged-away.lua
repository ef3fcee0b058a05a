-- Mistake: the initial residual is taken from thirty readings, because one is noisy.
-- Lesson: The residual falls to a third while it is read, and the mean is that of half a minute and not of the beginning. A
--   quantity that changes is fitted over the time of each reading, and stated at the time that is meant.
-- Right: retention
-- Trial: trials/retention.lua, marks easily
-- Bias: initial-residual -1.6 to -1.2
local stressed, control = { 0.25, 0.25 }, { 0.75, 0.75 }

return procedure {
  title    = "Retention, averaged",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = { sequence = true } },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = { within = { default = 0.3, unit = "%", min = 0.01, max = 10, help = "the residual that is allowed" } },
  run = function(p)
    local function ratio()
      local r = meter.read { at = stressed, repeats = 30 }
      return r.Y / meter.read({ at = control, repeats = 30 }).Y, r.ended
    end
    patches.black()
    clock.wait(300)
    patches.show { grey = 0.2 }
    local before = ratio()
    patches.black()
    clock.wait(300)
    local lit = patches.sequence({ { grey = 1, window = 10, at = stressed, hold = 60 }, { grey = 0.2, hold = 0.1 } })[2].lit
    local residual, times, levels = nil, {}, {}
    for _ = 1, 3 do
      local now, ended = ratio()
      local left = 100 * (now / before - 1)
      residual = residual or left
      table.insert(times, ended - lit)
      table.insert(levels, left)
    end
    local crossing = stats.crossing { x = times, y = levels, level = p.within, falling = true }
    record.value { name = "Initial residual", value = residual, unit = "%" }
    record.value { name = "Time to threshold", value = crossing.x or times[3], unit = "s" }
  end,
}
