local rewarm = require "rewarm"

local colours = {
  { name = "red",     rgb = { 1, 0, 0 } },
  { name = "green",   rgb = { 0, 1, 0 } },
  { name = "blue",    rgb = { 0, 0, 1 } },
  { name = "cyan",    rgb = { 0, 1, 1 }, of = { "green", "blue" } },
  { name = "magenta", rgb = { 1, 0, 1 }, of = { "red", "blue" } },
  { name = "yellow",  rgb = { 1, 1, 0 }, of = { "red", "green" } },
  { name = "white",   rgb = { 1, 1, 1 }, of = { "red", "green", "blue" } },
}

local spaces = {
  { name = "BT.709",  space = "bt709",  id = "bt709" },
  { name = "P3-D65",  space = "p3-d65", id = "p3" },
  { name = "BT.2020", space = "bt2020", id = "bt2020" },
}

local diagrams = { { name = "u'v'", key = "uv" }, { name = "xy", key = "xy" } }

local only_srgb = "a browser takes plain codes for sRGB, so its page does not show all colours of a unit with more; set space=display-p3, "
  .. "which is shown where the browser keeps such images as they are, or use files on a player or a generator"

-- Black is shown for the same time before each colour, so that what the colour
-- before leaves behind in the panel is alike for all.
local function measure(p, rgb, watch)
  local black = patches.black()
  if p.space == "plain" and black.path == "page, SDR" then error(only_srgb, 0) end
  clock.wait(p.rest)
  patches.show { rgb = rgb, window = p.window, bits = p.bits, space = p.space }
  return meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }
end

local function measure_all(p)
  local read = { black = measure(p, { 0, 0, 0 }) }
  for _, c in ipairs(colours) do read[c.name] = measure(p, c.rgb, c.name == "white") end
  read.white_again = measure(p, { 1, 1, 1 }, true)
  return read
end

-- doubt_of says why the readings of these names cannot be used, or their colours
-- where those are wanted; nil where they can.
local function doubt_of(read, names, colour_wanted)
  for _, name in ipairs(names) do
    local r = read[name]
    if r.doubt then return name .. ": " .. r.doubt end
    if colour_wanted and not r.X then return "this meter measures luminance only, no colour" end
    if colour_wanted and not r.u then return name .. " gave no light, and so has no colour" end
  end
  return nil
end

local primaries = { "red", "green", "blue" }
local additive  = { "red", "green", "blue", "white", "black" }

-- sum_of adds the luminances of a mixture's primaries, and counts black once. It gives the sum in percent of the mixture.
local function sum_of(read, c)
  if not c.of or doubt_of(read, additive) or read[c.name].doubt or read[c.name].Y == 0 then return nil end
  local sum = read.black.Y
  for _, name in ipairs(c.of) do sum = sum + read[name].Y - read.black.Y end
  return 100 * sum / read[c.name].Y
end

local function record_colours(read)
  local tbl = record.table("Colours", {
    { "colour" }, { "luminance", "cd/m2" }, { "x" }, { "y" }, { "u'" }, { "v'" }, { "sum of primaries", "%" },
  })
  for _, c in ipairs(colours) do
    local r = read[c.name]
    tbl:add { colour = c.name, luminance = r, x = r.x, y = r.y, ["u'"] = r.u, ["v'"] = r.v, ["sum of primaries"] = sum_of(read, c) }
  end
end

-- record_share says how much of a space the measured primaries cover.
local function record_share(read, s, d, tbl, why)
  local spanned, g = pcall(colour.gamut, { red = read.red, green = read.green, blue = read.blue, space = s.space, diagram = d.key })
  local share = tbl and spanned and 100 * g.coverage or nil
  if share then tbl:add { space = s.name, diagram = d.name, coverage = share, ["area ratio"] = 100 * g.ratio } end
  record.value {
    name = string.format("Coverage of %s in %s", s.name, d.name), id = string.format("coverage-%s-%s", s.id, d.key), value = share,
    unit = "%", why = why or share and "" or "the measured primaries span no triangle",
  }
end

local function record_coverage(read)
  local why = doubt_of(read, primaries, true)
  local tbl = not why and record.table("Gamut", { { "space" }, { "diagram" }, { "coverage", "%" }, { "area ratio", "%" } })
  for _, d in ipairs(diagrams) do
    for _, s in ipairs(spaces) do record_share(read, s, d, tbl, why) end
  end
  record.note("Coverage is the share of the space's triangle that lies inside the triangle of the measured primaries. The luminance "
    .. "of black is not subtracted from them. The area ratio compares the sizes of the two triangles and does not say whether they "
    .. "overlap.")
end

-- own_space makes a space of the display's primaries; primaries on one line give none.
local function own_space(read)
  if doubt_of(read, { "red", "green", "blue", "white" }, true) then return nil end
  local made, space = pcall(colour.space, { name = "display", red = read.red, green = read.green, blue = read.blue, white = read.white })
  return made and space or nil
end

local function draw(read)
  local points, shown = {}, { own_space(read) }
  for _, c in ipairs(colours) do
    if not doubt_of(read, { c.name }, true) then table.insert(points, { name = c.name, measured = read[c.name] }) end
  end
  for _, s in ipairs(spaces) do table.insert(shown, s.space) end
  if #points > 0 then
    record.chromaticity { title = "Primaries, secondaries and white", points = points, spaces = shown }
  end
end

local function record_white(read)
  local w = read.white
  record.value { name = "White luminance", value = w }
  local why, t = doubt_of(read, { "white" }, true), nil
  if not why then
    local known, found = pcall(colour.cct, w)
    t = known and found or nil
    if not known then why = "white is too far from the Planckian locus to have a colour temperature" end
  end
  record.value { name = "White CCT", value = t and t.cct, unit = "K", why = why }
  record.value { name = "White Duv", value = t and t.duv, why = why }
  local why_drift = doubt_of(read, { "white", "white_again" }) or w.Y <= 0 and "white gave no light" or nil
  record.value { name = "White drift", value = not why_drift and 100 * (read.white_again.Y / w.Y - 1) or nil, unit = "%", why = why_drift }
end

local function record_additivity(read)
  local why = doubt_of(read, additive) or doubt_of(read, { "red", "green", "blue", "white" }, true)
  local a = not why and colour.additivity { red = read.red, green = read.green, blue = read.blue, white = read.white, black = read.black }
    or nil
  record.value { name = "Additivity", value = a and 100 * a.luminance, unit = "%", why = why }
  record.value { name = "Additivity, chromaticity", id = "additivity-delta-uv", value = a and a.delta_uv, why = why }
  if not a then return end
  record.note(string.format("Red, green and blue together have %.1f %% of the luminance of white, and differ from it by %.4f in "
    .. "u'v'. The three readings contain the light of black three times; two of "
    .. "these are subtracted from their sum.", 100 * a.luminance, a.delta_uv),
    { level = math.abs(a.luminance - 1) > 0.03 and "doubt" or nil })
end

return procedure {
  title    = "Gamut",
  purpose  = "Measures primaries, secondaries and white: how much of BT.709, P3 and BT.2020 the display covers, and whether red, green "
    .. "and blue add up to white.",
  needs    = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    window    = { default = 4, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    bits      = { default = 8, min = 6, max = 12, whole = true, help = "sets the bit depth of the signal" },
    space     = { default = "plain", one_of = { "plain", "display-p3" },
      help = "chooses what the signals are: plain codes, or pictures that are tagged as Display P3" },
    delay     = { default = 2, unit = "s", min = 0, max = 3600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    rest      = { default = 10, unit = "s", min = 0, max = 3600, help = "sets how long the panel rests on black before each colour" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision = { default = 0.1, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    local read = run.part("colours", function() return measure_all(p) end, { readings = #colours + 2 })
    record_colours(read)
    record_white(read)
    record_coverage(read)
    draw(read)
    record_additivity(read)
  end,
}
