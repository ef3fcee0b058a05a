local fading = require "fading"
local residue = require "residue"
local rewarm = require "rewarm"

-- Three places a quarter from the edges, whose windows do not touch.
local stressed = { x = 0.25, y = 0.25 }
local control  = { x = 0.75, y = 0.75 }
local aside    = { x = 0.75, y = 0.25 }

-- shake changes the whole picture for a moment, at the same load, so that
-- dimming of content that stands still does not begin.
local function shake(p)
  patches.show { grey = residue.double(p.probe, p.signal), window = 50, signal = p.signal }
  patches.show { grey = p.probe, signal = p.signal }
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

-- read_after reads the place on a fixed schedule, and goes to the place of
-- reference now and then.
local function read_after(p, place, reference)
  local at = { place = {}, reference = {} }
  local shaken, visited = clock.now(), clock.now()
  clock.every { period = p.period, duration = p.watch, run = function()
    if clock.now() - visited >= p.visit then
      table.insert(at.reference, look(p, reference))
      rig.place(place)
      shake(p)
      shaken, visited = clock.now(), clock.now()
    elseif clock.now() - shaken >= p.still then
      shake(p)
      shaken = clock.now()
    else
      table.insert(at.place, meter.read { sync = true })
    end
  end }
  table.insert(at.reference, look(p, reference))
  return at
end

-- measure shows the window somewhere for the exact time, and reads a place before
-- and after it, and a place of reference.
local function measure(p, place, reference, window)
  -- A source that cannot keep times by itself is refused here, before the work.
  patches.sequence { { grey = 0, signal = p.signal, hold = 0.05 } }
  clock.wait(p.rest)
  local before = read_before(p, place, reference)
  local shown = patches.sequence {
    { grey = 1, window = p.window, at = { window.x, window.y }, signal = p.signal, hold = p.stress },
    { grey = p.probe, signal = p.signal, hold = 0.05 },
  }
  return { before = before, after = read_after(p, place, reference), shown = shown[2] }
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
  record.note(string.format("The stress was signal 1 on %g %% of the screen for exactly %g s. The residual is by how many percent "
    .. "the place is brighter than before, against the control place; negative where it is darker. %s %s",
    p.window, p.stress, model.said, answer.said))
  if dropped > 0 then
    record.note(string.format("%d of the first readings are left out: that answer changed so quickly that the source's latency decides.",
      dropped))
  end
end

-- told is between what a value lies, in words.
local function told(what, low, high, unit)
  return low and string.format(" %s lies between %.3g and %.3g %s (two standard uncertainties, all fits that are possible).",
    what, low, high, unit) or ""
end

-- stated gives of each what the readings bear, which other readings then follow.
local function stated(p, series, model)
  local all, bear = {}, {}
  local function may(name, what, bears) all[name], bear[name] = what, bears end
  may("residual just after", fading.at_once(model))
  may("time under threshold", fading.time_under(model, p.threshold, p.watch))
  may("time constant", fading.constant(model, p.watch))
  may("residual shift", residue.shift(series, model))
  for name, what in pairs(run.decide("what is stated", bear)) do all[name] = all[name][what] or all[name].nothing end
  return all
end

local function record_values(p, series, model)
  local all = stated(p, series, model)
  local first, under, constant = all["residual just after"], all["time under threshold"], all["time constant"]
  record.value { name = "Residual just after", value = first.percent, unit = "%", why = first.why }
  record.value { name = "Time under threshold", value = under.seconds, unit = "s", bound = under.bound, why = under.why }
  record.value { name = "Time constant", value = constant.seconds, unit = "s", bound = constant.bound, why = constant.why }
  record.note(string.format("Time under threshold is from when on the fitted residual stays within %g %%, time constant from when "
    .. "on within 1/e of what it was at once; a lower bound: it was longer than the readings went on; an upper bound: it may have "
    .. "been within from the beginning.%s%s%s", p.threshold, told("The residual", first.low, first.high, "%"),
    told("The time under threshold", under.early, under.late, "s"), told("The time constant", constant.early, constant.late, "s")))
  local shift = all["residual shift"]
  record.value { name = "Residual shift", id = "residual-shift-uv", value = shift.uv, bound = shift.bound, why = shift.why }
end

return procedure {
  title    = "Image retention",
  purpose  = "What stays of a bright window that stood for an exact time: the residual against a control place that is never "
    .. "stressed, its colour and its decay. A person can read the meter and move it, and then sees decays of minutes, not of "
    .. "seconds; a person cannot play the patches, since the stress needs a source that keeps times by itself.",
  needs    = { meter = {}, patches = {}, rig = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  caution  = "A static bright pattern is shown. Static patterns can mark a panel for good: keep the stress as short as it may be, heed "
    .. "what the unit's instructions say of still pictures, and do not repeat this on one place without need.",
  params   = {
    stress    = { default = 60, unit = "s", min = 0.5, max = 3600, help = "how long the window stands" },
    probe     = { default = 0.2, min = 0.02, max = 0.6, help = "signal of the full-screen grey on which the residual is read" },
    window    = { default = 10, unit = "%", min = 0.5, max = 20, help = "its share of the screen" },
    signal    = { default = "sdr", one_of = { "sdr", "pq" }, help = "how stress and probe are coded" },
    threshold = { default = 0.3, unit = "%", min = 0.01, max = 20, help = "the residual that counts as gone" },
    watch     = { default = 420, unit = "s", min = 20, max = 86400, help = "how long the decay is read" },
    period    = { default = 0.2, unit = "s", min = 0.1, max = 600, help = "from one reading of it to the next, at best" },
    visit     = { default = 90, unit = "s", min = 5, max = 3600, help = "from one visit to the other place to the next" },
    still     = { default = 25, unit = "s", min = 5, max = 3600, help = "nothing stands longer than this, but for the stress" },
    rounds    = { default = 5, min = 2, max = 50, whole = true, help = "comparisons of both places before" },
    repeats   = { default = 15, min = 3, max = 200, whole = true, help = "single readings of each" },
    rest      = { default = 60, unit = "s", min = 0, max = 86400, help = "black at first, so that what was shown before fades" },
  },
  on_resume = function(p, pause) rewarm.after(pause, p.signal) end,
  run = function(p)
    -- What an interrupted stress has left is in the panel, and must fade first.
    local function fade()
      record.note(string.format("A stress was interrupted. The screen was black for %g s before the measurement was begun anew.", p.watch))
      patches.black { signal = p.signal }
      clock.wait(p.watch)
    end
    -- The same, first with the window aside: what the control place shows then
    -- is the display's answer to the change of picture, and no residual.
    local measured = {}
    measured.control = run.unbroken("control", { before_restart = fade }, function()
      return measure(p, control, stressed, aside)
    end)
    measured.stressed = run.unbroken("stress and decay", { before_restart = fade }, function()
      return measure(p, stressed, control, stressed)
    end)

    local found = residue.series(measured)
    local series = found.stressed
    local answer = residue.answer(found.control, p.watch)
    local dropped = residue.take_off(series, answer)
    local model = residue.fit(series, answer)
    record_series(p, series, model, answer, dropped)
    record_values(p, series, model)
  end,
}
