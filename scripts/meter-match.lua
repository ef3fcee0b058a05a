local ring = require "ring"
local rewarm = require "rewarm"
local twometers = require "twometers"
local matching = require "matching"

local primaries = {
  { name = "red",   rgb = { 1, 0, 0 } },
  { name = "green", rgb = { 0, 1, 0 } },
  { name = "blue",  rgb = { 0, 0, 1 } },
  { name = "white", rgb = { 1, 1, 1 } },
}
local white = primaries[4]

-- The check colours are in random order, so that a drift does not look like an error of some hues.
-- None of them is one that the matrix is made from.
local function check_colours(p)
  local all = {}
  for i, c in ipairs(run.shuffle("check colours", (ring.set("bt709", p.colours)))) do
    local rgb = {}
    for k, light in ipairs(c.linear) do rgb[k] = math.floor(light ^ (1 / 2.2) * 255 + 0.5) / 255 end
    all[i] = { name = "check " .. i, rgb = rgb }
  end
  return all
end

local function read_all(p, checks)
  local all = {}
  for _, list in ipairs { primaries, { { name = "black", rgb = { 0, 0, 0 } } }, checks } do
    for _, c in ipairs(list) do table.insert(all, c) end
  end
  return twometers.read {
    reference = meter.named("reference"), meter = meter, white = white, patches = all, swap = p.swap,
    measure = function(with, c)
      patches.show { rgb = c.rgb, window = p.window }
      return with.measure { after = p.delay, relative = p.precision, settle = p.longest_settling }
    end,
  }
end

-- doubt_of says why no correction can be made, nil where one can.
local function doubt_of(read)
  local why = twometers.doubt(read)
  for i, c in ipairs(primaries) do
    for _, name in ipairs { "reference", "meter" } do
      local r = read[name][i]
      why = why or r.doubt and string.format("%s, %s: %s", c.name, name, r.doubt)
        or not r.u and string.format("%s gave no light that the %s could read", c.name, name)
    end
  end
  return why or nil
end

local first_check = #primaries + 2 -- black is between

-- checked gives the check colours that both meters could read.
local function checked(read, steady)
  local kept = { reference = {}, target = {}, readings = { reference = {}, meter = {} }, places = {} }
  for i = first_check, #read.meter do
    local a, b = read.reference[i], read.meter[i]
    if not a.doubt and not b.doubt and a.u and b.u and a.Y > 0 then
      table.insert(kept.reference, steady.reference[i])
      table.insert(kept.target, steady.meter[i])
      table.insert(kept.readings.reference, a)
      table.insert(kept.readings.meter, b)
      table.insert(kept.places, i - first_check + 1)
    end
  end
  return kept
end

local function four(stimuli)
  return { red = stimuli[1], green = stimuli[2], blue = stimuli[3], white = stimuli[4] }
end

local results = {
  { id = "median-before",       name = "Median Δu'v' without correction" },
  { id = "largest-before",      name = "Largest Δu'v' without correction" },
  { id = "median-after",        name = "Median Δu'v' with correction" },
  { id = "largest-after",       name = "Largest Δu'v' with correction", most = "limit" },
  { id = "luminance-after",     name = "Largest luminance error with correction", unit = "%", most = "luminance_limit" },
  { id = "additivity",          name = "Additivity", unit = "%" },
  { id = "additivity-delta-uv", name = "Additivity, chromaticity" },
  { id = "white-drift",         name = "White drift", unit = "%" },
  { id = "white-drift-delta-uv", name = "White drift, chromaticity" },
}

local function record_values(p, numbers, why)
  for _, r in ipairs(results) do
    local x = numbers[r.id]
    record.value {
      name = r.name, id = r.id, value = x, unit = r.unit or "", why = x and "" or why,
      tolerance = r.most and { max = p[r.most] } or nil,
    }
  end
end

local function largest(list)
  local most = 0
  for _, x in ipairs(list) do most = math.max(most, math.abs(x)) end
  return most
end

local function record_tables(checks, kept, rows, correction, steady)
  local used = record.table("Colours of the matrix", {
    { "colour" }, { "luminance", "cd/m2" }, { "luminance by the meter", "cd/m2" }, { "Δu'v' before" },
  })
  local from = matching.compare({ unpack(steady.reference, 1, 4) }, { unpack(steady.meter, 1, 4) }, correction)
  for _, row in ipairs(from) do
    used:add { colour = primaries[row.index].name, luminance = row.reference.Y, ["luminance by the meter"] = row.target.Y,
      ["Δu'v' before"] = row.before } -- with the correction they agree, because it is made from them
  end
  local tbl = record.table("Check colours", {
    { "red" }, { "green" }, { "blue" }, { "luminance", "cd/m2" }, { "u'" }, { "v'" }, { "Δu'v' before" }, { "Δu'v' after" },
    { "luminance error after", "%" },
  })
  for _, row in ipairs(rows) do
    local c = checks[kept.places[row.index]]
    tbl:add {
      red = c.rgb[1], green = c.rgb[2], blue = c.rgb[3], luminance = row.reference.Y, ["u'"] = row.uv.u, ["v'"] = row.uv.v,
      ["Δu'v' before"] = row.before, ["Δu'v' after"] = row.after, ["luminance error after"] = row.luminance,
    }
  end
end

local function draw(rows)
  local points = {}
  for i, row in ipairs(rows) do points[i] = { name = "check " .. row.index, measured = row.fixed, target = row.reference } end
  record.chromaticity { title = "Check colours: the corrected meter and the reference", id = "check-drawn", points = points,
    space = "bt709" }
end

local function note_drift(p, read, percent, uv)
  if p.swap then
    record.note(string.format("The meters were swapped. White was read before and after by each of them, and once more by the reference "
      .. "at the end. From its first to its last white the reference saw a change of %.2f %% and of %.4f in u'v', in which its own new "
      .. "aim is included.", percent, uv))
  end
  local of_meter = colour.delta_uv(read.whites.meter[1], read.whites.meter[2])
  if math.max(uv, of_meter) > p.limit / 2 then
    record.note(string.format("The colour of white moved by %.4f in u'v' (reference) and %.4f (meter) while the colours were read. %s "
      .. "Let the unit warm up, and measure again.", uv, of_meter, p.swap and "This is corrected as far as it was even between the whites."
      or "Both meters saw it alike, and it is not corrected."),
        { level = "doubt" })
  end
end

local function note_terms(p, kept, noise)
  record.note("The correction is the four-colour matrix (Ohno and Hardis 1997): chromaticities of red, green and blue are matched, and "
    .. "white sets how much of each there is. So an aim that gives one meter a little more or less light than the other does not matter.")
  if #kept.places < p.colours then
    record.note(string.format("%d of %d check colours are left out because a meter could not read them.", p.colours - #kept.places,
      p.colours), { level = "doubt" })
  end
  if noise then
    record.note(string.format("Noise of the readings alone gives a median Δu'v' of about %.5f. The largest of many differences is larger "
      .. "by noise, too.", noise))
  end
  record.note(string.format("The limits, %g in u'v' and %g %% of the luminance, are common practice, without a source.", p.limit,
    p.luminance_limit))
end

local function name_of(p)
  if p.name ~= "" then return p.name end
  return run.mode ~= "" and "Four-colour matrix, " .. run.mode or "Four-colour matrix"
end

-- The residual that the file states is that of the check colours. Where the matrix falls short, the file says so itself.
local function record_correction(p, correction, kept, fits)
  record.correction {
    correction = correction, name = name_of(p), id = "correction", panel = p.panel, valid_for = p.valid_for,
    check = { reference = kept.reference, target = kept.target },
    notes = string.format("%s; %g %% windows; checked on %d colours%s", fits and "fits this panel" or "falls short on this panel", p.window,
      #kept.places,
      p.swap and "; the meters were swapped on one mount" or ""),
  }
end

local function conclude(p, checks, read)
  local why = doubt_of(read)
  if why then return record_values(p, {}, why) end
  local steady = twometers.steady(read)
  local kept = checked(read, steady)
  if #kept.places < 3 then return record_values(p, {}, "fewer than three of the check colours could be read") end
  local made, correction = pcall(colour.four_colour, { reference = four(steady.reference), target = four(steady.meter) })
  if not made then return record_values(p, {}, "no matrix can be made of these readings: " .. correction.message) end
  local rows = matching.compare(kept.reference, kept.target, correction)
  local before, after = matching.column(rows, "before"), matching.column(rows, "after")
  local s = steady.reference
  local a = colour.additivity { red = s[1], green = s[2], blue = s[3], white = s[4], black = read.reference[5].Y > 0 and s[5] or nil }
  local percent, uv = twometers.drift(read)
  local numbers = {
    ["median-before"] = stats.median(before), ["largest-before"] = largest(before), ["median-after"] = stats.median(after),
    ["largest-after"] = largest(after), ["luminance-after"] = largest(matching.column(rows, "luminance")),
    additivity = 100 * a.luminance, ["additivity-delta-uv"] = a.delta_uv, ["white-drift"] = percent, ["white-drift-delta-uv"] = uv,
  }
  record_values(p, numbers)
  record_tables(checks, kept, rows, correction, steady)
  draw(rows)
  local noise = matching.noise(kept.readings.reference, kept.readings.meter)
  local text, fits = matching.verdict(
    { median = numbers["median-after"], largest = numbers["largest-after"], luminance = numbers["luminance-after"] },
    { uv = p.limit, luminance = p.luminance_limit }, noise, a)
  record.note(text, { level = not fits and "doubt" or nil })
  note_drift(p, read, percent, uv)
  note_terms(p, kept, noise)
  record_correction(p, correction, kept, fits)
end

return procedure {
  title    = "Meter match",
  purpose  = "Makes a correction that lets a filter colorimeter agree with a reference meter on this kind of panel, and checks it on "
    .. "colours that it was not made from.",
  needs    = { meter = {}, reference = {}, patches = {}, operator = { optional = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  params   = {
    swap             = { default = false,
      help = "asks the operator to swap the meters, where one mount serves both; false: both look at the screen at once" },
    colours          = { default = 20, min = 3, max = 200, whole = true, help = "sets how many colours the correction is checked on" },
    limit            = { default = 0.003, min = 0.0001, max = 0.1,
      help = "sets the largest Δu'v' of a check colour with which the correction still fits" },
    luminance_limit  = { default = 2, unit = "%", min = 0.01, max = 100,
      help = "sets the largest luminance error of a check colour with which the correction still fits" },
    name             = { default = "", help = "names the correction; empty: the method and the unit's mode" },
    panel            = { default = "",
      help = "states the kind of panel, in your words, such as RGB OLED; a unit file can state the same, and another kind is warned of" },
    valid_for        = { default = 180, unit = "days", min = 0, max = 3650, whole = true,
      help = "states for how long the correction is to be used without a warning; 0: not stated" },
    window           = { default = 10, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    delay            = { default = 2, unit = "s", min = 0, max = 3600,
      help = "sets the time from the patch to the reading, in which the panel responds" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600,
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision        = { default = 0.2, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; a meter takes 50 readings at most to reach it" },
  },
  on_resume = function(_, pause)
    rewarm.after(pause)
    twometers.resumed(pause)
  end,
  run = function(p)
    local by = meter.about().correction
    if by then error(string.format("the meter has the correction %q; a correction is made from uncorrected readings: remove it from the "
      .. "bench file", by), 0) end
    local checks = check_colours(p)
    conclude(p, checks, read_all(p, checks))
  end,
}
