-- Where no source is named, the unit shows this grey in a window: a level at which displays neither limit their power nor dim.
local grey, window = 0.8, 10

local function present(p)
  if p.source == "" then
    patches.show { grey = grey, window = window }
  else
    operator.confirm(string.format("Switch on %s, let it warm up as its own instructions say, put the meter in front of it as you did "
      .. "before, and keep other light away.", p.source))
  end
end

local function read_all(p)
  local all = {}
  for i = 1, p.readings do all[i] = meter.read { after = i == 1 and p.delay or 0, sync = true } end
  return all
end

-- doubt_of says why the readings say nothing of the meter, nil where they do.
local function doubt_of(all)
  for _, r in ipairs(all) do
    if r.doubt then return r.doubt end
    if r.flags.below_floor or r.Y <= 0 then return "the source is darker than the meter can measure" end
  end
  return nil
end

local function mean_of(all, key)
  local list = {}
  for i, r in ipairs(all) do
    if not r[key] then return nil end
    list[i] = r[key]
  end
  return stats.mean(list), list
end

-- drift gives by how much the luminance changed while it was read, in percent, from a straight line through all readings.
local function drift(all, luminances, mean)
  local times = {}
  for i, r in ipairs(all) do times[i] = r.began end
  local span = times[#times] - times[1]
  if span <= 0 then return nil end -- readings that were typed at once
  return 100 * stats.line { x = times, y = luminances }.slope * span / mean
end

local function record_now(all, why)
  local Y, luminances = mean_of(all, "Y")
  local x, y = mean_of(all, "x"), mean_of(all, "y")
  local no_colour = why or not x and "this meter measures luminance only, no colour" or ""
  record.value { name = "Luminance", value = not why and Y or nil, unit = "cd/m2", why = why or "" }
  record.value { name = "Chromaticity x", id = "x", value = not why and x or nil, unit = "", why = no_colour }
  record.value { name = "Chromaticity y", id = "y", value = not why and y or nil, unit = "", why = no_colour }
  record.value { name = "Scatter of a reading", value = not why and 100 * stats.sd(luminances) / Y or nil, unit = "%", why = why or "" }
  local change = not why and drift(all, luminances, Y) or nil
  record.value { name = "Drift while it was read", value = change, unit = "%", why = why or change and ""
    or "the readings have no times that differ" }
  return not why and { Y = Y, x = x, y = y } or nil
end

-- record_change compares with what was stated from before.
local function record_change(p, now, why)
  local stated = p.earlier_luminance > 0
  record.value {
    name = "Change of luminance", value = now and stated and 100 * (now.Y / p.earlier_luminance - 1) or nil, unit = "%",
    tolerance = stated and { min = -p.luminance_tolerance, max = p.luminance_tolerance } or nil,
    why = why or not stated and "no earlier luminance is given (earlier_luminance)" or "",
  }
  stated = p.earlier_x > 0 and p.earlier_y > 0
  local known = now and now.x and stated
  record.value {
    name = "Change of chromaticity", unit = "",
    value = known and colour.delta_uv({ x = now.x, y = now.y }, { x = p.earlier_x, y = p.earlier_y }) or nil,
    tolerance = stated and { max = p.chromaticity_tolerance } or nil,
    why = why or not stated and "no earlier chromaticity is given (earlier_x and earlier_y)" or now.x and ""
      or "this meter measures luminance only, no colour",
  }
end

local function note_all(p, all, now, settled)
  if not settled.settled then
    record.note(string.format("The source was not stable: after %.0f s its luminance still changed by %.2f %% in a minute. Let it warm "
      .. "up for longer.",
      settled.seconds, settled.drift), { level = "doubt" })
  end
  if all[1].correction then
    record.note(string.format("The readings have the correction %q. Compare only with earlier values that had the same.",
      all[1].correction), { level = "doubt" })
  end
  record.note(p.source ~= "" and "Source: " .. p.source .. "."
    or string.format("The source was the unit itself, a grey of %g in a window of %g %%. A display ages too: a source that is kept for "
      .. "this purpose says more.", grey, window))
  if p.earlier_date ~= "" then record.note("Earlier values: " .. p.earlier_date .. ".") end
  record.note("A change is one of the meter, of the source or of the aim. Read a second meter, or a second source, before you blame the "
    .. "meter. The error of the meter's scale is in the uncertainty of a change, although it was the same before: so that uncertainty is "
    .. "too large rather than too small.")
  record.note("The tolerances are rules of thumb, without a source.")
  if now then
    record.note(string.format("To compare with this run later: --set earlier_luminance=%.5g%s", now.Y,
      now.x and string.format(" --set earlier_x=%.5f --set earlier_y=%.5f", now.x, now.y) or ""))
  end
end

return procedure {
  title    = "Meter health",
  purpose  = "Reads a source that is kept for this purpose, and says whether the meter still reads what it read months ago.",
  needs    = { meter = {}, patches = { optional = true }, operator = { optional = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" }, -- of the unit where it is the source
  params   = {
    source                 = { default = "",
      help = "names your stable source, such as lamp box 3; the operator is asked to switch it on, and the unit and its settings do not "
        .. "matter; empty: the unit shows a grey" },
    readings               = { default = 20, min = 5, max = 200, whole = true, help = "sets how many single readings are taken" },
    earlier_luminance      = { default = 0, unit = "cd/m2", min = 0, max = 100000,
      help = "states the luminance that an earlier run found; 0: not known" },
    earlier_x              = { default = 0, min = 0, max = 1, help = "states the chromaticity x that an earlier run found; 0: not known" },
    earlier_y              = { default = 0, min = 0, max = 1, help = "states the chromaticity y that an earlier run found; 0: not known" },
    earlier_date           = { default = "", help = "says when the earlier values were found, for the report" },
    luminance_tolerance    = { default = 2, unit = "%", min = 0.01, max = 100, help = "sets the largest change of luminance that passes" },
    chromaticity_tolerance = { default = 0.002, min = 0.00001, max = 1,
      help = "sets the largest change of chromaticity that passes, in u'v'" },
    delay                  = { default = 2, unit = "s", min = 0, max = 3600, help = "sets the time from the patch to the first reading" },
    steady                 = { default = 0.2, unit = "%", min = 0.01, max = 10,
      help = "sets the largest drift within a minute of a source that is stable" },
    longest_settling       = { default = 900, unit = "s", min = 61, max = 86400,
      help = "sets the longest wait for the source to become stable" },
  },
  run = function(p)
    present(p)
    local settled = run.part("source settles", function() return meter.settle { within = p.steady, over = 60, timeout = p.longest_settling,
      sync = true } end)
    local all = run.part("readings", function() return read_all(p) end, { readings = p.readings })
    local why = doubt_of(all)
    local now = record_now(all, why)
    record_change(p, now, why)
    note_all(p, all, now, settled)
  end,
}
