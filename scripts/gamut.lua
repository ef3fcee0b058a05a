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

-- Black comes between the colours, for as long each time, so that what one
-- leaves behind in the panel is the same for all.
local function read_colour(p, rgb)
  patches.black()
  clock.wait(p.rest)
  patches.show { rgb = rgb, window = p.window, bits = p.bits }
  return meter.read { after = p.onset, relative = p.precision, sync = true }
end

local function read_all(p)
  local read = { black = read_colour(p, { 0, 0, 0 }) }
  for _, c in ipairs(colours) do read[c.name] = read_colour(p, c.rgb) end
  read.white_again = read_colour(p, { 1, 1, 1 })
  return read
end

-- What the primaries of a mixture add to, black counted once.
local function sum_of(read, names)
  local sum = read.black.Y
  for _, name in ipairs(names) do sum = sum + read[name].Y - read.black.Y end
  return sum
end

local function record_colours(read)
  local tbl = record.table("Colours", {
    { "colour" }, { "luminance", "cd/m2" }, { "x" }, { "y" }, { "u'" }, { "v'" }, { "primaries add to", "%" },
  })
  for _, c in ipairs(colours) do
    local r = read[c.name]
    tbl:add {
      colour = c.name, luminance = r.Y, x = r.x, y = r.y, ["u'"] = r.u, ["v'"] = r.v,
      ["primaries add to"] = c.of and 100 * sum_of(read, c.of) / r.Y,
    }
  end
end

local function for_each_coverage(fn)
  for _, d in ipairs(diagrams) do
    for _, s in ipairs(spaces) do fn(s, d) end
  end
end

local function coverage_name(s, d) return string.format("Coverage of %s in %s", s.name, d.name) end

local function coverage_id(s, d) return string.format("coverage-%s-%s", s.id, d.key) end

local function record_coverage(read)
  local tbl = record.table("Gamut", { { "space" }, { "diagram" }, { "coverage", "%" }, { "area ratio", "%" } })
  for_each_coverage(function(s, d)
    local g = colour.gamut { red = read.red, green = read.green, blue = read.blue, space = s.space, diagram = d.key }
    tbl:add { space = s.name, diagram = d.name, coverage = 100 * g.coverage, ["area ratio"] = 100 * g.ratio }
    record.value { name = coverage_name(s, d), id = coverage_id(s, d), value = 100 * g.coverage, unit = "%" }
  end)
  record.note("Coverage is the share of the space's triangle that the triangle of the primaries, black included, has in common with it; "
    .. "the area ratio says nothing of overlap.")
end

local function draw(read)
  local points, shown = {}, {}
  for _, c in ipairs(colours) do table.insert(points, { name = c.name, measured = read[c.name] }) end
  for _, s in ipairs(spaces) do table.insert(shown, s.space) end
  record.chromaticity { title = "Primaries, secondaries and white", points = points, spaces = shown }
end

local function record_white(read)
  local w = read.white
  record.value { name = "White luminance", value = w.Y, unit = "cd/m2", of = w }
  local known, t = pcall(colour.cct, w)
  local why = known and "" or "white is too far from the Planckian locus to have a colour temperature"
  record.value { name = "White CCT", value = known and t.cct or nil, unit = "K", why = why }
  record.value { name = "White Duv", value = known and t.duv or nil, unit = "", why = why }
  record.value { name = "White drift", value = 100 * (read.white_again.Y / w.Y - 1), unit = "%" }
end

local function record_additivity(read)
  local a = colour.additivity { red = read.red, green = read.green, blue = read.blue, white = read.white, black = read.black }
  record.value { name = "Additivity", value = 100 * a.luminance, unit = "%" }
  record.value { name = "Additivity, chromaticity", id = "additivity-delta-uv", value = a.delta_uv, unit = "" }
  record.note(string.format("Red, green and blue add to %.1f %% of the luminance of white, black counted once.", 100 * a.luminance),
    { level = math.abs(a.luminance - 1) > 0.03 and "caution" or nil })
end

-- record_nothing says of all that needs colour why it is missing.
local function record_nothing(read, why)
  record.value { name = "White luminance", value = read.white.Y, unit = "cd/m2", of = read.white }
  record.value { name = "White CCT", unit = "K", why = why }
  record.value { name = "White Duv", unit = "", why = why }
  for_each_coverage(function(s, d) record.value { name = coverage_name(s, d), id = coverage_id(s, d), unit = "%", why = why } end)
  record.value { name = "Additivity", unit = "%", why = why }
end

return procedure {
  title    = "Gamut",
  purpose  = "Primaries, secondaries and white, how much of three colour spaces the primaries cover, and whether they add to white.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    window    = { default = 4, unit = "%", min = 0.1, max = 100, help = "share of the screen" },
    bits      = { default = 8, min = 6, max = 12, whole = true, help = "bits of the signal" },
    onset     = { default = 2, unit = "s", min = 0, max = 3600, help = "from lit to reading" },
    rest      = { default = 10, unit = "s", min = 0, max = 3600, help = "black before each colour" },
    precision = { default = 0.1, unit = "%", min = 0.01, max = 10, help = "read until the mean is known this well" },
  },
  run = function(p)
    local read = run.part("colours", function() return read_all(p) end)
    for _, c in ipairs(colours) do
      if not read[c.name].u then return record_nothing(read, "the meter gives no colour of " .. c.name) end
    end
    record_colours(read)
    record_white(read)
    record_coverage(read)
    draw(read)
    record_additivity(read)
  end,
}
