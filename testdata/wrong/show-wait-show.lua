-- Mistake: a stress of seven seconds is made by showing it, waiting seven seconds, and showing what comes next.
-- Lesson: What comes next takes three seconds to arrive, and the box stands for all of them: the stress lasts ten seconds and
--   not seven. Only the source can time what it shows; give it the whole sequence.
-- Right: retention
-- Trial: trials/retention-of-seven-seconds.lua, over a network
-- Bias: initial-residual 0.25 to 0.42
local stressed, control = { 0.25, 0.25 }, { 0.75, 0.75 }

return procedure {
  title    = "Retention, show, wait, show",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = { stress = { default = 7, unit = "s", min = 1, max = 3600, help = "how long the box stands" } },
  run = function(p)
    patches.black()
    clock.wait(300)
    patches.show { grey = 0.2 }
    local before = meter.read({ at = stressed, after = 2, repeats = 40 }).Y / meter.read({ at = control, repeats = 40 }).Y
    patches.black()
    clock.wait(300)

    patches.show { grey = 1, window = 10, at = stressed }
    clock.wait(p.stress)
    local lit, from, to, y, levels = patches.show({ grey = 0.2 }).lit, {}, {}, {}, {}
    for _ = 1, 40 do
      local r = meter.read { at = stressed }
      table.insert(levels, meter.read({ at = control }).Y)
      table.insert(from, r.began - lit)
      table.insert(to, r.ended - lit)
      table.insert(y, r.Y)
    end
    for i, level in ipairs(y) do y[i] = 100 * (level / stats.mean(levels) / before - 1) end
    record.value { name = "Initial residual", value = stats.decay({ from = from, to = to, y = y, offset = 0 }):at(0), unit = "%" }
  end,
}
