local heating = require "heating"
local rewarm = require "rewarm"
local warming = require "warming"

-- let_run changes the picture between readings about a constant mean, so that
-- nothing stands still for long and the load of the panel hardly changes.
local function let_run(p)
  local shown = patches.show { grey = math.min(1, 1.2 * p.level) }
  clock.wait(p.period / 3)
  patches.show { grey = 0.8 * p.level }
  return shown.lit
end

-- sample_moderate reads the same grey briefly, on a fixed schedule. The picture
-- before it is always the same, so that power limiting that has not settled yet is
-- the same in all readings and cancels.
local function sample_moderate(p)
  local series, lit = {}, let_run(p)
  clock.wait(p.period / 3)
  local kept = clock.every { period = p.period, duration = p.duration, run = function()
    patches.show { grey = p.level }
    local r = meter.read { after = p.delay, repeats = p.repeats, sync = true }
    table.insert(series, { from = r.began - lit, to = r.ended - lit, y = r.Y })
    let_run(p)
  end }
  return series, kept.skipped
end

-- sample_white reads full white. A grey interrupts the white for a moment before
-- each reading, so that the panel does not dim it as a still picture.
local function sample_white(p)
  local series, lit = {}, nil
  clock.every { period = p.period, duration = p.white_for, run = function()
    patches.show { grey = p.level }
    local shown = patches.show { grey = 1 }
    lit = lit or shown.lit
    local r = meter.read { after = p.white_delay, repeats = p.repeats, sync = true }
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

-- told says in words how well something is known.
local function told(u, unit)
  return u and string.format(" Its standard uncertainty by the fit is %.2g %s.", u(), unit) or ""
end

local function record_warm_up(p, series, skipped)
  local fit = warming.fit(series)
  record_series("Warm-up", series, fit)
  local found = warming.settled(fit, p.allowed_drift, p.drift_time)
  record.value { name = "Warm-up time", value = found.seconds, unit = "s", bound = found.bound, why = found.why }
  record.note(run.text_by(function()
    return string.format("Warm-up time is the time from the first light until the luminance drifts by no more than %g %% in any "
      .. "%g s, up to the end of the series. It comes from a fit of the whole series: %d readings, %d skipped, which differ from the "
      .. "fit by %.3f %% (RMS).%s", p.allowed_drift, p.drift_time, #series, skipped, fit.left, told(found.u, "s"))
  end))
  local drift = warming.drift(fit)
  record.value { name = "Warm-up drift", value = drift.percent, unit = "%", why = drift.why }
  record.note(run.text_by(function()
    return string.format("The first reading came %.1f s after the first light. Warm-up drift is how much brighter it was than the end, "
      .. "by the same fit.%s", series[1].from, told(drift.u, "%"))
  end))
  if found.bound then
    record.note("The luminance hardly drifted from the first reading on. Either this unit warms up before the first "
      .. "reading, or it was already warm when the run began.")
  end
end

local function record_thermal(p, series)
  record_series("Full white", series)
  local found = heating.lost(series, p.white_for)
  record.value { name = "Thermal dimming", value = found.lost, unit = "%", why = found.why }
  record.note(run.text_by(function()
    return string.format("Thermal dimming is the share of its luminance that full white lost in the %g s after it was lit, by the "
      .. "curve that fits the readings best. The first reading came after %g s, when power limiting had settled.%s",
      p.white_for, p.white_delay,
      found.lost and string.format(" Other curves that fit about as well give %.2f to %.2f %%.", found.range()) or "")
  end))
end

-- An interrupted warm-up can only begin again with a cold unit.
local function cool_down(p)
  record.note(string.format("The warm-up was interrupted. The unit was off for %g s before it began again.", p.cooling_time))
  unit.off()
  clock.wait(p.cooling_time)
  unit.on()
end

-- An interrupted full white has heated the unit. Moderate content is shown for as
-- long as full white would have been, until the unit has cooled down to that.
local function let_go(p)
  record.note(string.format("Full white was interrupted. It was shown again after %g s of moderate content.", p.white_for))
  patches.show { grey = p.level }
  clock.wait(p.white_for)
end

return procedure {
  title    = "Warm-up",
  purpose  = "Finds how long the unit needs until its luminance is stable, on moderate content that never stands still. Then measures "
    .. "thermal dimming on full white. Begin with a unit that has been off for hours; a warm unit shows no warm-up. "
    .. "By hand, choose a period that leaves time to show, read and type.",
  needs    = { meter = {}, patches = {}, unit = { power = "optional" } },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  caution  = "The second part shows full white for minutes, which heats the unit. Follow the unit's instructions and keep its vents "
    .. "free. Leave this part out (white_for = 0) if the instructions advise against it.",
  params   = {
    level     = { default = 0.5, min = 0.1, max = 1, help = "sets the signal of the full-screen grey that is read" },
    period    = { default = 20, unit = "s", min = 5, max = 3600, help = "sets the time from one reading to the next" },
    duration  = { default = 5400, unit = "s", min = 300, max = 86400, help = "sets how long the warm-up is observed" },
    delay     = { default = 3, unit = "s", min = 0, max = 600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    repeats   = { default = 5, min = 1, max = 100, whole = true, help = "sets how many single readings are taken each time" },
    allowed_drift = { default = 0.5, unit = "%", min = 0.01, max = 20, formerly = { "within" },
      help = "sets the largest drift of the luminance within drift_time at which the unit counts as warm" },
    drift_time    = { default = 600, unit = "s", min = 10, max = 86400, formerly = { "over" },
      help = "sets the time over which allowed_drift applies" },
    white_for     = { default = 600, unit = "s", min = 0, max = 7200,
      help = "sets how long full white is shown for thermal dimming; 0: leave this part out" },
    cooling_time  = { default = 7200, unit = "s", min = 0, max = 86400, formerly = { "cool" },
      help = "sets how long the unit is off to cool down before an interrupted warm-up begins again" },
    white_delay   = { default = 12, unit = "s", min = 0, max = 600, formerly = { "settle" },
      help = "sets the time from full white to its reading, in which power limiting settles" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    if p.drift_time >= p.duration then
      error(string.format("drift_time is %g s; it must be less than duration (%g s)", p.drift_time, p.duration))
    end
    local whites = p.white_for > 0 and math.floor(p.white_for / p.period) + 1 or 0
    run.readings(math.floor(p.duration / p.period) + 1 + whites, { at_most = true })
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
