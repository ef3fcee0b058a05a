local plateau = require "plateau"
local pq = require "pq"
local rolloff = require "rolloff"
local doubts = require "doubts"
local rewarm = require "rewarm"

-- metadata_of gives what the signal states of its content, nil where nothing is stated.
local function metadata_of(p)
  if p.mastering_peak == 0 and p.max_cll == 0 and p.max_fall == 0 then return nil end
  return { mastering_peak = p.mastering_peak, max_cll = p.max_cll, max_fall = p.max_fall }
end

-- measure also gives the signals that were truly shown: a source may not have those that were asked for.
local function measure(p, rgb, watch)
  local shown = patches.show { rgb = rgb, window = p.window, signal = "pq", bits = p.bits, metadata = metadata_of(p) }
  local r = meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }
  return { reading = r, Y = r.Y, doubt = r.doubt, rgb = { shown.red, shown.green, shown.blue } }
end

local function measure_grey(p, signal, watch)
  signal = pq.coded(signal, p.bits)
  local step = measure(p, { signal, signal, signal }, watch)
  signal = step.rgb[2]
  step.signal, step.target = signal, colour.pq_to_luminance(signal)
  step.ratio = step.Y / step.target
  return step
end

-- Above forty times the meter's floor, noise is a small part of a reading.
local function bright(luminance) return luminance > 40 * meter.about().floor end

-- A step counts where the meter's noise is a small part of it, and the panel's
-- black does not hide it.
local function counts(step, black)
  return bright(math.min(step.target, step.Y)) and step.target > 2 * black
end

local function counted(steps, black)
  local some = {}
  for _, s in ipairs(steps) do
    s.excluded = s.doubt or not counts(s, black) and "near black" or nil
    if not s.excluded then table.insert(some, s) end
  end
  return some
end

-- A first series from black to white finds between which steps the display leaves
-- the curve. A second series has more steps there. Results come from both.
local function measure_steps(p)
  local steps = {}
  for i = 1, p.steps - 1 do
    steps[i] = measure_grey(p, i / (p.steps - 1))
  end
  local black = measure(p, { 0, 0, 0 }).Y
  local some = counted(steps, black)
  local last = run.decide("last step that follows, of those that count", (rolloff.find(some, p.shortfall)))
  if last >= 1 and last < #some then
    local low, high = some[last].signal, some[last + 1].signal
    for i = 1, p.extra_steps do table.insert(steps, measure_grey(p, low + i * (high - low) / (p.extra_steps + 1), true)) end
  end
  table.sort(steps, function(a, b) return a.signal < b.signal end)
  return steps, black
end

local function record_steps(steps)
  local tbl = record.table("Tracking of ST 2084", {
    { "signal" }, { "target", "cd/m2" }, { "luminance", "cd/m2" }, { "deviation", "%" }, { "delta E ITP" }, { "part" },
  })
  for _, s in ipairs(steps) do
    tbl:add {
      signal = s.signal, target = s.target, luminance = s.reading, deviation = 100 * (s.ratio - 1), ["delta E ITP"] = s.itp,
      part = s.excluded or s.part,
    }
  end
  record.plot { table = tbl, x = "signal", y = { "luminance", "target" }, log_y = true }
end

-- The shape of the roll-off has a table of its own: luminance against target, from
-- the last step below its start.
local function record_shape(some, last)
  if last >= #some then return end
  local tbl = record.table("Roll-off", { { "target", "cd/m2" }, { "luminance", "cd/m2" }, { "share of target", "%" } })
  for i = math.max(1, last), #some do
    tbl:add { target = some[i].target, luminance = some[i].reading, ["share of target"] = 100 * some[i].ratio }
  end
  record.plot { table = tbl, x = "target", y = { "luminance", "target" }, log_x = true, log_y = true }
end

local function record_start(p, start, level, why)
  record.value { name = "Roll-off start", value = start, unit = "cd/m2", why = why }
  record.value {
    name = "Luminance at the roll-off's start", id = "roll-off-luminance", unit = "cd/m2",
    value = start and (1 - p.shortfall / 100) * level * start, why = why,
  }
  if not start then return end
  record.note(string.format("The roll-off starts at the luminance of the signal at which the display falls short of ST 2084 by %g %%, "
    .. "compared with the darker steps. The luminance at the roll-off's start is what the display shows there. If a display clips at "
    .. "its peak, this method finds the start above the peak, at the peak divided by %g.",
    p.shortfall, 1 - p.shortfall / 100))
end

local function record_tracking(p, steps, black)
  local some = counted(steps, black)
  local last, level, signal = rolloff.parts(some, p.shortfall)
  local off, worst, itp = {}, nil, {}
  for _, s in ipairs(some) do
    if s.reading.X then
      s.itp = colour.delta_e_itp { a = { x = 0.3127, y = 0.3290, Y = s.target }, b = s.reading }
    end
    if s.part == "tracking" then
      local deviation = 100 * (s.ratio - 1)
      table.insert(off, math.abs(deviation))
      if s.itp then table.insert(itp, s.itp) end
      if math.abs(deviation) > math.abs(worst or 0) then worst = deviation end
    end
  end
  local why = #off == 0 and (doubts.first(steps) or "no step below the roll-off could be read") or ""
  record.value {
    name = "Average tracking error", formerly = "tracking-average", value = #off > 0 and stats.mean(off) or nil, unit = "%", why = why,
  }
  record.value { name = "Maximum tracking error", formerly = "tracking-worst", value = worst, unit = "%", why = why }
  record.value {
    name = "Average tracking ΔE ITP", formerly = "tracking-average-itp", value = #itp > 0 and stats.mean(itp) or nil, unit = "ITP",
    why = #itp > 0 and "" or "no step below the roll-off has a colour",
  }
  if worst then
    record.note(string.format("The maximum tracking error is the largest of %d measured errors. Noise makes a maximum too large; with more "
      .. "steps it becomes larger.", #off))
  end
  record.value { name = "Luminance relative to target", formerly = "tracking-level", value = level and 100 * level, unit = "%", why = why }

  local start, why_start = rolloff.start(steps, some, last, signal)
  record_start(p, start, level, why_start)
  record_steps(steps)
  record_shape(some, last)
  return start
end

local function record_peak(p, steps)
  for _, s in ipairs(steps) do s.x = s.signal end
  local peak, bound, why = plateau.peak(steps, p.peak_tolerance)
  record.value {
    name = "Peak luminance", value = peak and peak.mean, unit = "cd/m2", bound = bound, why = why, from = peak and peak.rows,
  }
  if not peak then return end
  record.note(string.format("The peak luminance is the mean of the steps within %g %% of the highest one: %d of %d steps.",
    p.peak_tolerance, #peak.rows, #steps))
end

-- The primaries and secondaries of P3 at full and at half strength. Each has the
-- luminance that it has as a part of white at the level.
local mixtures = { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 }, { 0, 1, 1 }, { 1, 0, 1 }, { 1, 1, 0 }, { 1, 1, 1 } }
local names = { "red", "green", "blue", "cyan", "magenta", "yellow", "white" }
local strengths = { 1, 0.5 }

local function measure_colours(p)
  local all = {}
  for _, level in ipairs(p.levels) do
    for m, mixture in ipairs(mixtures) do
      for _, strength in ipairs(m < #mixtures and strengths or { 1 }) do
        local linear = {}
        for i, share in ipairs(mixture) do linear[i] = strength * share + 1 - strength end
        local c = measure(p, pq.p3(linear, level, p.bits))
        local target, most = pq.target(c.rgb, level)
        c.name, c.strength, c.level, c.target, c.most = names[m], strength, level, target, most
        table.insert(all, c)
      end
    end
  end
  return all
end

-- A colour that needs more of a primary than the start of the roll-off is listed
-- and does not count.
local function record_colours(all, start)
  local tbl = record.table("P3 colours in BT.2020", {
    { "colour" }, { "strength", "%" }, { "level", "cd/m2" }, { "target", "cd/m2" }, { "luminance", "cd/m2" },
    { "delta u'v'" }, { "delta E ITP" }, { "counts" },
  })
  local itp, points, left_out, doubtful = {}, {}, 0, 0
  for _, c in ipairs(all) do
    local inside = not c.doubt and (not start or c.most <= start)
    local difference = c.reading.u and colour.delta_e_itp { a = c.target, b = c.reading }
    tbl:add {
      colour = c.name, strength = 100 * c.strength, level = c.level, target = c.target.Y, luminance = c.reading,
      ["delta u'v'"] = c.reading.u and colour.delta_uv(c.target, c.reading), ["delta E ITP"] = difference,
      counts = inside and "yes" or "no",
    }
    if inside and difference then
      table.insert(itp, difference)
      table.insert(points, {
        name = string.format("%s %g %%, %g cd/m2", c.name, 100 * c.strength, c.level), measured = c.reading, target = c.target,
      })
    elseif c.doubt then
      doubtful = doubtful + 1
    elseif not inside then
      left_out = left_out + 1
    end
  end
  local why = #itp > 0 and "" or doubts.first(all) or "no colour below the roll-off could be read"
  local function difference(name, formerly, x)
    record.value { name = name, formerly = formerly, value = x, unit = "ITP", why = why }
  end
  difference("Average colour ΔE ITP", "colour-average-itp", #itp > 0 and stats.mean(itp) or nil)
  difference("Maximum colour ΔE ITP", "colour-worst-itp", #itp > 0 and stats.percentile(itp, 100) or nil)
  if #points > 0 then
    record.chromaticity { title = "P3 colours in BT.2020", id = "p3-colours-drawn", points = points, spaces = { "p3-d65", "bt2020" } }
  end
  if #itp > 0 then
    record.note(string.format("The maximum ΔE ITP is the largest of %d measured differences. Noise makes a maximum too large; with more "
      .. "colours it becomes larger.", #itp))
  end
  if doubtful > 0 then
    record.note(string.format("%d colours do not count because they could not be measured as the panel shows them: %s.",
      doubtful, doubts.first(all)), { level = "doubt" })
  end
  if left_out > 0 then
    record.note(string.format("%d colours do not count because they need a primary at a luminance above the start of the roll-off.",
      left_out))
  end
end

-- note_left_out says which steps are too dark to count.
local function note_left_out(steps)
  local n, brightest = 0, 0
  for _, s in ipairs(steps) do
    if s.excluded then n, brightest = n + 1, math.max(brightest, s.target) end
  end
  if n == 0 then return end
  record.note(string.format("Steps up to %.3g cd/m2 (%d of %d) are listed and do not count. They are below 40 times the meter's floor "
    .. "of %g cd/m2, where noise would look like a deviation, or below twice the panel's black.",
    brightest, n, #steps, meter.about().floor))
end

local function stated(x) return x > 0 and string.format("%g cd/m2", x) or "not stated" end

local function note_path(p)
  record.value { name = "Signal path", value = p.signal_path ~= "" and p.signal_path or "not stated" }
  record.value { name = "Metadata", value = string.format("mastering peak %s, MaxCLL %s, MaxFALL %s",
    stated(p.mastering_peak), stated(p.max_cll), stated(p.max_fall)) }
  record.note(string.format("The results hold for this signal path and these metadata only, with %d bits of ST 2084 in full range and a "
    .. "window of %g %%. With others the roll-off may differ.", p.bits, p.window))
  record.note("The signal has BT.2020 primaries. The signal path must tell the display so; this procedure does not check it.")
end

return procedure {
  title    = "HDR tracking",
  purpose  = "Measures how well an HDR display follows ST 2084 (PQ) up to its roll-off, where the roll-off starts and what shape it has, "
    .. "and how far P3 colours in a BT.2020 signal are from their targets.",
  needs    = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    steps          = { default = 21, min = 8, max = 256, whole = true,
      help = "sets how many signals are measured, evenly spaced from black to full" },
    extra_steps    = { default = 8, min = 1, max = 64, whole = true, formerly = { "finer" },
      help = "sets how many signals are added where the roll-off starts" },
    shortfall      = { default = 5, unit = "%", min = 0.5, max = 50, formerly = { "by" },
      help = "sets the loss of luminance at which the roll-off starts, compared with the darker steps" },
    levels         = { default = { 20, 100, 200 }, unit = "cd/m2", min = 0.1, max = 10000,
      help = "sets the luminances of white at which the P3 colours are shown" },
    window         = { default = 10, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    bits           = { default = 10, min = 8, max = 12, whole = true, help = "sets the bit depth of the signal" },
    mastering_peak = { default = 1000, unit = "cd/m2", min = 0, max = 10000,
      help = "states the mastering display's peak luminance in the metadata; 0: do not state it" },
    max_cll        = { default = 0, unit = "cd/m2", min = 0, max = 10000, help = "states MaxCLL in the metadata; 0: do not state it" },
    max_fall       = { default = 0, unit = "cd/m2", min = 0, max = 10000, help = "states MaxFALL in the metadata; 0: do not state it" },
    signal_path    = { default = "", formerly = { "path" },
      help = "states where the signal comes from and what it goes through, for the results" },
    delay          = { default = 2, unit = "s", min = 0, max = 3600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision      = { default = 0.25, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
    peak_tolerance = { default = 0.5, unit = "%", min = 0, max = 20, formerly = { "within" },
      help = "sets how close to the highest luminance a step must be to count for the peak" },
  },
  on_resume = function(_, pause) rewarm.after(pause, "pq") end,
  run = function(p)
    run.readings(p.steps + p.extra_steps + (2 * #mixtures - 1) * #p.levels, { at_most = true })
    local steps, black = run.part("steps", function() return measure_steps(p) end)
    local all = run.part("colours", function() return measure_colours(p) end)
    local start = record_tracking(p, steps, black)
    record_peak(p, steps)
    record_colours(all, start)
    note_left_out(steps)
    note_path(p)
  end,
}
