local plateau = require "plateau"
local rolloff = require "rolloff"
local steady = require "steady"
local rewarm = require "rewarm"

-- What the signal says of its content; without anything to say it carries none.
local function metadata_of(p)
  if p.mastering_peak == 0 and p.max_cll == 0 and p.max_fall == 0 then return nil end
  return { mastering_peak = p.mastering_peak, max_cll = p.max_cll, max_fall = p.max_fall }
end

local function read_pq(p, rgb, look)
  patches.show { rgb = rgb, window = p.window, signal = "pq", bits = p.bits, metadata = metadata_of(p) }
  return steady.read(p, look)
end

local function coded(p, signal)
  local codes = 2 ^ p.bits - 1
  return math.floor(signal * codes + 0.5) / codes
end

local function watched() return { watch = true } end

local function read_grey(p, signal, look)
  signal = coded(p, signal)
  local target = colour.pq_to_luminance(signal)
  local step = read_pq(p, { signal, signal, signal }, look(target))
  step.signal, step.target = signal, target
  step.ratio = step.Y / step.target
  return step
end

-- The meter's noise is little of what is forty times its floor.
local function bright(luminance) return luminance > 40 * meter.about().floor end

-- A step that falls behind those beneath is limited, slowly perhaps, and is
-- watched.
local behind = 0.99

-- A step says something of the curve where the meter's noise is little of it, and
-- the panel's black does not hide it.
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

-- A first series from black to white finds between which steps the display
-- leaves the curve; a second one looks there closely. What is stated comes from
-- both together.
local function read_steps(p)
  local steps, most = {}, 0
  local function look(target)
    return { watch = function(r) return r.Y < behind * most * target and bright(r.Y) end }
  end
  for i = 1, p.steps - 1 do
    steps[i] = read_grey(p, i / (p.steps - 1), look)
    if bright(steps[i].Y) then most = math.max(most, steps[i].ratio) end
  end
  local black = read_pq(p, { 0, 0, 0 }).Y
  local some = counted(steps, black)
  local last = run.decide("last step that follows, of those that count", (rolloff.find(some, p.by)))
  if last >= 1 and last < #some then
    local low, high = some[last].signal, some[last + 1].signal
    for i = 1, p.finer do table.insert(steps, read_grey(p, low + i * (high - low) / (p.finer + 1), watched)) end
  end
  table.sort(steps, function(a, b) return a.signal < b.signal end)
  return steps, black
end

-- parts tells the steps apart: those that track, those that bend, being more
-- than 1 % behind for good but not yet as far as the roll-off's start, and those
-- that are rolled off.
local bend = 1

local function parts(p, some)
  local last, level, signal = rolloff.find(some, p.by)
  local straight = rolloff.find(some, bend)
  for i, s in ipairs(some) do
    s.part = i > last and "roll-off" or i > straight and "bend" or "tracking"
  end
  return last, level, signal
end

local function record_steps(steps)
  local tbl = record.table("Tracking of ST 2084", {
    { "signal" }, { "target", "cd/m2" }, { "luminance", "cd/m2" }, { "deviation", "%" }, { "delta E ITP" }, { "part" },
  })
  for _, s in ipairs(steps) do
    tbl:add {
      signal = s.signal, target = s.target, luminance = s.Y, deviation = 100 * (s.ratio - 1), ["delta E ITP"] = s.itp,
      part = s.excluded or s.part,
    }
  end
  record.plot { table = tbl, x = "signal", y = { "luminance", "target" }, log_y = true }
end

-- The shape of the roll-off stands apart: luminance against what the signal
-- means, from just under its start.
local function record_shape(some, last)
  if last >= #some then return end
  local tbl = record.table("Roll-off", { { "target", "cd/m2" }, { "luminance", "cd/m2" }, { "share of target", "%" } })
  for i = math.max(1, last), #some do
    tbl:add { target = some[i].target, luminance = some[i].Y, ["share of target"] = 100 * some[i].ratio }
  end
  record.plot { table = tbl, x = "target", y = { "luminance", "target" }, log_x = true, log_y = true }
end

-- start_of gives where the roll-off starts, or why that is not known: a step that
-- could not be read may lie just there, or above all that could.
local function start_of(steps, some, last, signal)
  local low = last > 0 and some[last].signal or 0
  local high = last < #some and some[last + 1].signal or 1
  for _, s in ipairs(steps) do
    if s.doubt and low < s.signal and s.signal <= high then
      return nil, string.format("the step at %.4g cd/m2 could not be read: %s", s.target, s.doubt)
    end
  end
  if signal then return colour.pq_to_luminance(signal), "" end
  return nil, "the display follows the signal to its end, or nowhere"
end

local function record_start(p, start, level, why)
  record.value { name = "Roll-off start", value = start, unit = "cd/m2", why = why }
  record.value {
    name = "Luminance at the roll-off's start", id = "roll-off-luminance", unit = "cd/m2",
    value = start and (1 - p.by / 100) * level * start, why = why,
  }
  if not start then return end
  record.note(string.format("The roll-off starts at the signal whose light is %g %% behind what it means, held against the steps beneath. "
    .. "A display that clips is that far behind only above its peak: at the peak divided by %g.", p.by, 1 - p.by / 100))
end

local function record_tracking(p, steps, black)
  local some = counted(steps, black)
  local last, level, signal = parts(p, some)
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
  local why = #off == 0 and (steady.first(steps) or "no step below the roll-off can be read") or ""
  record.value { name = "Tracking average", value = #off > 0 and stats.mean(off) or nil, unit = "%", why = why }
  record.value { name = "Tracking worst", value = worst, unit = "%", why = why }
  record.value { name = "Tracking average, ITP", id = "tracking-average-itp", value = #itp > 0 and stats.mean(itp) or nil, unit = "ITP",
    why = #itp > 0 and "" or "no step below the roll-off has a colour" }
  if worst then
    record.note(string.format("The worst of %d steps is taken as read: noise makes it larger, the more so the more steps there are.", #off))
  end
  record.value { name = "Tracking level", value = level and 100 * level, unit = "%", why = why }

  local start, why_start = start_of(steps, some, last, signal)
  record_start(p, start, level, why_start)
  record_steps(steps)
  record_shape(some, last)
  return start
end

local function record_peak(p, steps)
  for _, s in ipairs(steps) do s.x, s.y = s.signal, s.Y end
  local peak, bound, why = plateau.peak(steps, p.within)
  record.value {
    name = "Peak luminance", value = peak and peak.mean, unit = "cd/m2", bound = bound, why = why,
    of = peak and #peak.rows == 1 and peak.rows[1].reading or nil,
  }
  if not peak then return end
  record.note(string.format("The peak is the mean of the steps within %g %% of the highest, %d of %d.", p.within, #peak.rows, #steps))
end

-- P3's primaries and secondaries, whole and half as strong, each as bright as
-- that mixture is when white has the level.
local mixtures = { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 }, { 0, 1, 1 }, { 1, 0, 1 }, { 1, 1, 0 }, { 1, 1, 1 } }
local names = { "red", "green", "blue", "cyan", "magenta", "yellow", "white" }
local strengths = { 1, 0.5 }

-- coloured gives the BT.2020 signals of linear P3, rounded to codes, and the
-- stimulus that they mean then.
local function coloured(p, linear, level)
  local xyz = colour.rgb_to_xyz { r = linear[1], g = linear[2], b = linear[3], space = "p3-d65", white = level }
  local wide = colour.xyz_to_rgb(xyz, { space = "bt2020", white = level })
  local rgb, light = {}, {}
  for i, share in ipairs { wide.r, wide.g, wide.b } do
    rgb[i] = coded(p, colour.luminance_to_pq(level * math.max(0, share)))
    light[i] = rgb[i] > 0 and colour.pq_to_luminance(rgb[i]) or 0
  end
  local target = colour.rgb_to_xyz { r = light[1] / level, g = light[2] / level, b = light[3] / level, space = "bt2020", white = level }
  return rgb, target, math.max(light[1], light[2], light[3])
end

local function read_colours(p)
  local all = {}
  for _, level in ipairs(p.levels) do
    for m, mixture in ipairs(mixtures) do
      for _, strength in ipairs(m < #mixtures and strengths or { 1 }) do
        local linear = {}
        for i, share in ipairs(mixture) do linear[i] = strength * share + 1 - strength end
        local rgb, target, most = coloured(p, linear, level)
        local c = read_pq(p, rgb)
        c.name, c.strength, c.level, c.target, c.most = names[m], strength, level, target, most
        table.insert(all, c)
      end
    end
  end
  return all
end

-- A colour that asks a primary for more than the start of the roll-off is not
-- the tracking's business: it is listed, and does not count.
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
      colour = c.name, strength = 100 * c.strength, level = c.level, target = c.target.Y, luminance = c.reading.Y,
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
  local why = #itp > 0 and "" or steady.first(all) or "no colour below the roll-off has been read"
  local function difference(name, id, x) record.value { name = name, id = id, value = x, unit = "ITP", why = why } end
  difference("Colour average, ITP", "colour-average-itp", #itp > 0 and stats.mean(itp) or nil)
  difference("Colour worst, ITP", "colour-worst-itp", #itp > 0 and stats.percentile(itp, 100) or nil)
  if #points > 0 then
    record.chromaticity { title = "P3 colours in BT.2020", id = "p3-colours-drawn", points = points, spaces = { "p3-d65", "bt2020" } }
  end
  if #itp > 0 then
    record.note(string.format("The worst of %d colours is taken as read: noise makes it larger, the more so the more colours there are.",
      #itp))
  end
  if doubtful > 0 then
    record.note(string.format("%d colours do not count, whose light is not what the panel shows: %s.", doubtful, steady.first(all)),
      { level = "caution" })
  end
  if left_out > 0 then
    record.note(string.format("%d colours ask a primary for more than the start of the roll-off and do not count.", left_out))
  end
end

-- note_left_out says which steps are too dark to count.
local function note_left_out(steps)
  local n, brightest = 0, 0
  for _, s in ipairs(steps) do
    if s.excluded then n, brightest = n + 1, math.max(brightest, s.target) end
  end
  if n == 0 then return end
  record.note(string.format("Steps up to %.3g cd/m2 (%d of %d) are listed and do not count: they lie under 40 times the meter's floor "
    .. "of %g cd/m2, where its noise would pass for deviation, or under twice the panel's black.",
    brightest, n, #steps, meter.about().floor))
end

local function stated(x) return x > 0 and string.format("%g cd/m2", x) or "not stated" end

local function note_path(p)
  record.value { name = "Signal path", value = p.path ~= "" and p.path or "not stated" }
  record.value { name = "Metadata", value = string.format("mastering peak %s, brightest pixel %s, brightest mean of a frame %s",
    stated(p.mastering_peak), stated(p.max_cll), stated(p.max_fall)) }
  record.note(string.format("The results belong to this path and these metadata: %d bits of ST 2084, full range, a window of %g %%. "
    .. "Others may give another roll-off.", p.bits, p.window))
  record.note("Its primaries are meant as BT.2020's. The path has to say so to the display; that it does is not checked here.")
end

return procedure {
  title    = "HDR tracking",
  purpose  = "Luminance of PQ greys against ST 2084 up to the roll-off, the roll-off's shape, and P3 colours in a BT.2020 signal.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    steps          = { default = 21, min = 8, max = 256, whole = true, help = "signals from black to the end, evenly spaced" },
    finer          = { default = 8, min = 1, max = 64, whole = true, help = "more of them where the roll-off begins" },
    by             = { default = 5, unit = "%", min = 0.5, max = 50,
      help = "so far behind the steps beneath, the roll-off has begun; a display that clips is so only above its peak" },
    levels         = { default = { 20, 100, 200 }, unit = "cd/m2", min = 0.1, max = 10000, help = "of white, for the colours" },
    window         = { default = 10, unit = "%", min = 0.1, max = 100, help = "share of the screen" },
    bits           = { default = 10, min = 8, max = 12, whole = true, help = "bits of the signal" },
    mastering_peak = { default = 1000, unit = "cd/m2", min = 0, max = 10000, help = "in the metadata; 0: not stated" },
    max_cll        = { default = 0, unit = "cd/m2", min = 0, max = 10000, help = "brightest pixel, in the metadata; 0: not stated" },
    max_fall       = { default = 0, unit = "cd/m2", min = 0, max = 10000, help = "brightest mean of a frame; 0: not stated" },
    path           = { default = "", help = "what the signal comes from and goes through" },
    onset          = { default = 2, unit = "s", min = 0, max = 3600, help = "from lit to reading" },
    patience       = { default = 40, unit = "s", min = 0, max = 3600, help = "how long to wait where the light still changes; 0: not" },
    precision      = { default = 0.25, unit = "%", min = 0.01, max = 10, help = "read until the mean is known this well" },
    within         = { default = 0.5, unit = "%", min = 0, max = 20, help = "steps this close to the highest are the peak" },
  },
  on_resume = function(_, pause) rewarm.after(pause, "pq") end,
  run = function(p)
    local steps, black = run.part("steps", function() return read_steps(p) end)
    local all = run.part("colours", function() return read_colours(p) end)
    local start = record_tracking(p, steps, black)
    record_peak(p, steps)
    record_colours(all, start)
    note_left_out(steps)
    note_path(p)
  end,
}
