local heating = require "heating"
local rewarm = require "rewarm"
local warming = require "warming"

-- The content changes between readings, about a level that stays the same, so
-- that nothing stands still for long and the panel's load hardly changes.
local function let_run(p)
  local shown = patches.show { grey = math.min(1, 1.2 * p.level) }
  clock.wait(p.period / 3)
  patches.show { grey = 0.8 * p.level }
  return shown.lit
end

-- sample_moderate reads the same grey on a fixed schedule, briefly. The content
-- before it is always the same, so that what power limiting has yet to settle is
-- the same in all readings, and cancels.
local function sample_moderate(p)
  local series, lit = {}, let_run(p)
  clock.wait(p.period / 3)
  local kept = clock.every { period = p.period, duration = p.duration, run = function()
    patches.show { grey = p.level }
    local r = meter.read { after = p.onset, repeats = p.repeats, sync = true }
    table.insert(series, { from = r.began - lit, to = r.ended - lit, y = r.Y })
    let_run(p)
  end }
  return series, kept.skipped
end

-- sample_white reads full white, which is taken away for a moment before each
-- reading: dimming of content that stands still is not what is looked for.
local function sample_white(p)
  local series, lit = {}, nil
  clock.every { period = p.period, duration = p.white_for, run = function()
    patches.show { grey = p.level }
    local shown = patches.show { grey = 1 }
    lit = lit or shown.lit
    local r = meter.read { after = p.settle, repeats = p.repeats, sync = true }
    table.insert(series, { from = r.began - lit, to = r.ended - lit, y = r.Y })
  end }
  return series
end

local function record_series(name, series, fit)
  local columns = { { "time", "s" }, { "luminance", "cd/m2" } }
  if fit then table.insert(columns, { "fit", "cd/m2" }) end
  local tbl = record.table(name, columns)
  for _, s in ipairs(series) do
    local middle = (s.from + s.to) / 2
    tbl:add { time = middle, luminance = s.y, fit = fit and fit.curve.at(middle) or nil }
  end
  record.plot { table = tbl, x = "time", y = fit and { "luminance", "fit" } or "luminance" }
end

-- told is how well something is known, in words.
local function told(u, unit)
  return u and string.format(" It is known to %.2g %s (standard uncertainty, by the fit).", u, unit) or ""
end

local function record_warm_up(p, series, skipped)
  local fit = warming.fit(series)
  record_series("Warm-up", series, fit)
  local found = warming.settled(fit, p.within, p.over)
  record.value { name = "Warm-up time", value = found.seconds, unit = "s", bound = found.bound, why = found.why }
  record.note(string.format("Warm-up time is counted from the first light, until the luminance drifts by no more than %g %% "
    .. "over any %g s from then to the end of the series, by a fit of the whole series (%d readings, %d skipped; "
    .. "the fit leaves %.3f %%).%s", p.within, p.over, #series, skipped, fit.left, told(found.u, "s")))
  local drift = warming.drift(fit)
  record.value { name = "Warm-up drift", value = drift.percent, unit = "%", why = drift.why }
  record.note(string.format("Warm-up drift is by how much more light there was at the first reading, %.1f s after the first light, "
    .. "than at the end, by the same fit.%s", series[1].from, told(drift.u, "%")))
  if found.bound then
    record.note("It hardly drifted from the first reading on: either this unit needs no more time than until then, "
      .. "or it was warm when the run began.", { level = "caution" })
  end
end

local function record_thermal(p, series)
  record_series("Full white", series)
  local found = heating.lost(series, p.white_for)
  record.value { name = "Thermal dimming", value = found.lost, unit = "%", why = found.why }
  record.note(string.format("Thermal dimming is the share of its light that full white lost in %g s from its first light, "
    .. "by the course that explains the readings, the first of them %g s after it was lit, when power limiting had settled.%s",
    p.white_for, p.settle,
    found.lost and string.format(" Courses that explain them about as well say %.2f to %.2f %%.", found.low, found.high) or ""))
end

-- A warm-up that was interrupted can only be begun again on a cold unit.
local function cool_down(p)
  record.note(string.format("The warm-up was interrupted. The unit was off for %g s before it was begun anew.", p.cool))
  unit.off()
  clock.wait(p.cool)
  unit.on()
end

-- Full white that was interrupted has heated the unit: it gets as long to come
-- back to what moderate content makes of it.
local function let_go(p)
  record.note(string.format("Full white was interrupted. It was shown anew after %g s of moderate content.", p.white_for))
  patches.show { grey = p.level }
  clock.wait(p.white_for)
end

return procedure {
  title    = "Warm-up",
  purpose  = "How long this unit needs until its light stays the same, on moderate content that is read briefly and never stands "
    .. "still; thermal dimming under full white apart. By hand, choose a period that leaves time to show, read and type.",
  needs    = { meter = {}, patches = {}, unit = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  caution  = "Begin with a unit that has been off for hours, or the warm-up cannot be seen. The second part shows full white for "
    .. "minutes, which heats the unit: stay within what its instructions allow, keep its vents free, and leave the part out "
    .. "(white_for = 0) where they advise against it.",
  params   = {
    level     = { default = 0.5, min = 0.1, max = 1, help = "signal of the full-screen grey that is read" },
    period    = { default = 20, unit = "s", min = 5, max = 3600, help = "from one reading to the next" },
    duration  = { default = 5400, unit = "s", min = 300, max = 86400, help = "of the series" },
    onset     = { default = 3, unit = "s", min = 0, max = 600, help = "from lit to reading" },
    repeats   = { default = 5, min = 1, max = 100, whole = true, help = "single readings each time" },
    within    = { default = 0.5, unit = "%", min = 0.01, max = 20, help = "the drift that is allowed" },
    over      = { default = 600, unit = "s", min = 10, max = 86400, help = "the time over which it is" },
    white_for = { default = 600, unit = "s", min = 0, max = 7200, help = "how long full white is shown at the end; 0: not at all" },
    cool      = { default = 7200, unit = "s", min = 0, max = 86400, help = "off before an interrupted warm-up is begun anew" },
    settle    = { default = 12, unit = "s", min = 0, max = 600, help = "from full white to its reading, for power limiting to settle" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    if p.over >= p.duration then
      error(string.format("over is %g s, want less than duration (%g s)", p.over, p.duration))
    end
    local series, skipped = run.unbroken("moderate content", { before_restart = function() cool_down(p) end }, function()
      return sample_moderate(p)
    end)
    warming.enough(series)
    local white = p.white_for > 0 and run.unbroken("full white", { before_restart = function() let_go(p) end }, function()
      return sample_white(p)
    end)
    record_warm_up(p, series, skipped)
    if white then record_thermal(p, white) end
  end,
}
