local fading = require "fading"
local residue = require "residue"
local rewarm = require "rewarm"

-- Three places, each a quarter of the screen from its edges. Their windows do not touch.
local stressed = { x = 0.25, y = 0.25 }
local control  = { x = 0.75, y = 0.75 }
local aside    = { x = 0.75, y = 0.25 }

-- shake changes the whole picture for a moment, at the same panel load, so that the
-- panel does not begin to dim a still picture.
local function shake(p)
  patches.show { grey = residue.double(p.test_grey, p.signal), window = 50, signal = p.signal }
  patches.show { grey = p.test_grey, signal = p.signal }
end

local function look(p, place)
  rig.place(place)
  shake(p)
  return meter.read { after = 1, repeats = p.repeats, sync = true }
end

local function read_before(p, place, reference)
  local at = { place = {}, reference = {} }
  for _ = 1, p.rounds do
    table.insert(at.reference, look(p, reference))
    table.insert(at.place, look(p, place))
  end
  return at
end

-- read_after reads the place on a fixed schedule, and goes to the reference place
-- at intervals.
local function read_after(p, place, reference)
  local at = { place = {}, reference = {} }
  local shaken, visited = clock.now(), clock.now()
  local kept = clock.every { period = p.period, duration = p.duration, run = function()
    if clock.now() - visited >= p.reference_interval then
      table.insert(at.reference, look(p, reference))
      rig.place(place)
      shake(p)
      shaken, visited = clock.now(), clock.now()
    elseif clock.now() - shaken >= p.longest_still then
      shake(p)
      shaken = clock.now()
    else
      table.insert(at.place, meter.read { sync = true })
    end
  end }
  table.insert(at.reference, look(p, reference))
  return at, kept.skipped
end

-- measure shows the window at a place for the exact time, and reads two places
-- before and after: the place of interest and the reference place.
local function measure(p, place, reference, window)
  -- A patch source that cannot keep exact times is refused here, before the work.
  patches.sequence { { grey = 0, signal = p.signal, hold = 0.05 } }
  clock.wait(p.rest)
  local before = read_before(p, place, reference)
  local shown = patches.sequence {
    { grey = 1, window = p.window, at = { window.x, window.y }, signal = p.signal, hold = p.stress },
    { grey = p.test_grey, signal = p.signal, hold = 0.05 },
  }
  local after, skipped = read_after(p, place, reference)
  return { before = before, after = after, shown = shown[2] }, skipped
end

local function record_series(p, series, model, answer, dropped)
  local tbl = record.table("Residual after the stress",
    { { "time", "s" }, { "residual", "%" }, { "fit", "%" }, { "luminance", "cd/m2" } })
  for _, s in ipairs(series.after) do
    local middle = (s.from + s.to) / 2
    tbl:add { time = middle, residual = s.residual, fit = model.at(middle), luminance = s.Y }
  end
  record.plot { table = tbl, x = "time", y = { "residual", "fit" } }
  local terms = record.table("Terms of the decay", { { "amplitude", "%" }, { "time constant", "s" } })
  for _, t in ipairs(model.terms) do terms:add { amplitude = t.amplitude, ["time constant"] = t.tau } end
  record.note(string.format("The stress was signal 1 on %g %% of the screen for exactly %g s. The residual is the change of the "
    .. "place's luminance in percent, relative to the control place: negative means darker than before. %s %s",
    p.window, p.stress, model.said, answer.said))
  if dropped > 0 then
    record.note(string.format("%d of the first readings are left out: the response to the change of picture was so quick there that they "
      .. "depend on the latency of the patch source.",
      dropped))
  end
end

-- stated gives of each value what the readings support: a number, a limit or
-- nothing. Its keys are in journals and stay as they are.
local function stated(p, series, model)
  local all = {
    ["residual just after"] = fading.at_once(model),
    ["time under threshold"] = fading.time_under(model, p.threshold, p.duration),
    ["time constant"] = fading.constant(model, p.duration),
    ["residual shift"] = residue.shift(series, model),
  }
  local chosen = run.decide_by("what is stated", function()
    local bears = {}
    for name, of in pairs(all) do bears[name] = of.bears() end
    return bears
  end)
  for name, what in pairs(chosen) do all[name] = all[name].state(what) end
  return all
end

local function record_values(p, series, model)
  local all = stated(p, series, model)
  local first, under, constant = all["residual just after"], all["time under threshold"], all["time constant"]
  record.value {
    name = "Initial residual", formerly = "residual-just-after", value = first.percent, unit = "%", why = first.why,
  }
  record.value {
    name = "Time to threshold", formerly = "time-under-threshold", value = under.seconds, unit = "s", bound = under.bound,
    why = under.why,
  }
  record.value { name = "Time constant", value = constant.seconds, unit = "s", bound = constant.bound, why = constant.why }
  record.note(run.text_by(function()
    return string.format("The initial residual is the residual at the end of the stress, by the fit. Time to threshold is the "
      .. "time after which the residual stays below %g %%, in either direction. Time constant is the time after which it stays below 1/e "
      .. "(37 %%) of the initial residual.%s%s",
      p.threshold, fading.bounds_said(under, constant), fading.ranges_said(first, under, constant))
  end))
  local shift = all["residual shift"]
  record.value {
    name = "Initial colour shift", formerly = "residual-shift-uv", value = shift.uv, bound = shift.bound, why = shift.why,
  }
  record.note("The initial colour shift is the distance in u'v' by which the stress moved the colour of the place, at its end.")
end

return procedure {
  title    = "Image retention",
  purpose  = "Measures image retention: what a bright window leaves behind after an exact time, and how it decays, relative to a "
    .. "control place that is never stressed. By hand, only slow decays (minutes) can be measured. The "
    .. "patches need a source that keeps exact times.",
  needs    = { meter = {}, patches = { sequence = true }, rig = { place = true } },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  caution  = "This procedure shows a bright static pattern. Static patterns can mark a panel permanently. Keep the stress short, "
    .. "follow the unit's instructions on still pictures, and do not repeat the procedure on the same place without need.",
  params   = {
    stress    = { default = 60, unit = "s", min = 0.5, max = 3600, help = "sets how long the bright window is shown" },
    test_grey = { default = 0.2, min = 0.02, max = 0.6, formerly = { "probe" },
      help = "sets the signal of the full-screen grey on which the residual is read" },
    window    = { default = 10, unit = "%", min = 0.5, max = 20, help = "sets the share of the screen that the bright window fills" },
    signal    = { default = "sdr", one_of = { "sdr", "pq" }, help = "chooses the signal format of the stress and of the test grey" },
    threshold = { default = 0.3, unit = "%", min = 0.01, max = 20, help = "sets the residual below which the retention counts as gone" },
    duration  = { default = 420, unit = "s", min = 20, max = 86400, formerly = { "watch" }, help = "sets how long the decay is read" },
    period    = { default = 0.2, unit = "s", min = 0.1, max = 600,
      help = "sets the time from one reading of the decay to the next; a slower meter reads as often as it can" },
    reference_interval = { default = 90, unit = "s", min = 5, max = 3600, formerly = { "visit" },
      help = "sets the time from one visit of the meter to the control place to the next" },
    longest_still = { default = 25, unit = "s", min = 5, max = 3600, formerly = { "still" },
      help = "sets the longest time that one picture is shown, except for the stress" },
    rounds    = { default = 5, min = 2, max = 50, whole = true,
      help = "sets how many times the two places are compared before the stress" },
    repeats   = { default = 15, min = 3, max = 200, whole = true,
      help = "sets how many single readings are taken of each place before the stress, and at each reference" },
    rest      = { default = 60, unit = "s", min = 0, max = 86400,
      help = "sets how long the panel rests on black first, so that the picture shown before fades" },
  },
  on_resume = function(p, pause) rewarm.after(pause, p.signal) end,
  run = function(p)
    -- An interrupted stress has left its mark in the panel, which must fade first.
    local function fade()
      record.note(string.format("A stress was interrupted. The screen was black for %g s before the measurement began again.",
        p.duration))
      patches.black { signal = p.signal }
      clock.wait(p.duration)
    end
    run.readings(2 * (2 * p.rounds + math.floor(p.duration / p.period) + 2), { at_most = true })
    -- First the same with the window at the third place. What the control place
    -- shows then is the display's response to the change of picture, no residual.
    local measured, skipped = {}
    measured.control = run.unbroken("control", { before_restart = fade }, function()
      return measure(p, control, stressed, aside)
    end)
    measured.stressed, skipped = run.unbroken("stress and decay", { before_restart = fade }, function()
      return measure(p, stressed, control, stressed)
    end)

    local found = residue.series(measured)
    local series = found.stressed
    local answer = residue.answer(found.control, p.duration)
    local dropped = residue.take_off(series, answer)
    local model = residue.fit(series, answer)
    record_series(p, series, model, answer, dropped)
    if skipped > 0 then
      record.note(string.format("The meter could not read every %g s, so %d readings of the decay were skipped.", p.period, skipped))
    end
    record_values(p, series, model)
  end,
}
