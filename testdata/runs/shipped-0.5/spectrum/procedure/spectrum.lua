local rewarm = require "rewarm"
local spectra = require "spectra"

local colours = {
  { name = "red",   rgb = { 1, 0, 0 } },
  { name = "green", rgb = { 0, 1, 0 } },
  { name = "blue",  rgb = { 0, 0, 1 } },
  { name = "white", rgb = { 1, 1, 1 } },
}

local spaces = {
  { name = "BT.709",  space = "bt709",  id = "bt709" },
  { name = "P3-D65",  space = "p3-d65", id = "p3" },
  { name = "BT.2020", space = "bt2020", id = "bt2020" },
}

local function measure(p, rgb, watch)
  patches.show { rgb = rgb, window = p.window }
  return meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch, spectrum = true }
end

local function measure_all(p)
  local read = {}
  for _, c in ipairs(colours) do read[c.name] = measure(p, c.rgb, c.name == "white") end
  return read
end

-- doubt_of says why the spectra of these names cannot be used, nil where they can.
local function doubt_of(read, names)
  for _, name in ipairs(names) do
    local r = read[name]
    if r.doubt then return name .. ": " .. r.doubt end
    if not r.spectrum or r.Y <= 0 then return name .. " gave no light that the meter could read" end
  end
  return nil
end

-- light_of gives the stimulus that a spectrum is, nil where it has no chromaticity or too few wavelengths.
local function light_of(r)
  local made, c = pcall(colour.spectrum_to_xyz, r.spectrum)
  local seen = made and pcall(colour.uv, c)
  return seen and c or nil
end

-- peaks_of gives the peaks of a reading, { nm=, height=, width= }, by wavelength. Which samples are peaks is decided once, by the readings
-- of the run: in a draw noise may make another one.
local function peaks_of(name, r)
  local all = {}
  for _, i in ipairs(run.decide("peaks of " .. name, spectra.peaks(r.spectrum))) do
    local nm, height = spectra.at(r.spectrum, i)
    table.insert(all, { nm = nm, height = height, width = spectra.width(r.spectrum, i) })
  end
  return all
end

local function highest(peaks)
  local top
  for _, peak in ipairs(peaks) do
    if not top or peak.height > top.height then top = peak end
  end
  return top
end

local function record_peaks(read)
  local tbl = record.table("Peaks", { { "colour" }, { "wavelength", "nm" }, { "width at half height", "nm" },
    { "radiance", "W/(sr m2 nm)" } })
  for _, c in ipairs(colours) do
    local why = doubt_of(read, { c.name })
    local peaks = why and {} or peaks_of(c.name, read[c.name])
    for _, peak in ipairs(peaks) do
      tbl:add { colour = c.name, wavelength = peak.nm, ["width at half height"] = peak.width, radiance = peak.height }
    end
    if c.name ~= "white" then
      local top, title = highest(peaks), c.name:sub(1, 1):upper() .. c.name:sub(2)
      why = why or not top and "the spectrum has no peak that stands out of the noise" or nil
      record.value { name = title .. " peak", value = top and top.nm, unit = "nm", why = why or "" }
      record.value {
        name = title .. " width", value = top and top.width, unit = "nm",
        why = why or not top.width and "the spectrum does not fall to half of the peak on both sides" or "",
      }
    end
  end
end

local function record_gamut(read)
  local why = doubt_of(read, { "red", "green", "blue" })
  local of = {}
  for _, name in ipairs { "red", "green", "blue" } do
    of[name] = not why and light_of(read[name]) or nil
    why = why or not of[name] and name .. ": its spectrum gives no chromaticity" or nil
  end
  for _, s in ipairs(spaces) do
    local spanned, g = false, nil
    if not why then spanned, g = pcall(colour.gamut, { red = of.red, green = of.green, blue = of.blue, space = s.space }) end
    record.value {
      name = "Coverage of " .. s.name .. " in u'v'", id = "coverage-" .. s.id .. "-uv", value = spanned and 100 * g.coverage or nil,
        unit = "%",
      why = why or spanned and "" or "the primaries span no triangle",
    }
  end
end

-- A meter that states luminance and spectrum should say the same twice. A correction changes only the one (common practice, no source).
local most_difference = 0.5 -- %

local function note_difference(percent)
  if math.abs(percent) <= most_difference then return end
  record.note(string.format("The luminance of white's spectrum is %.2f %% %s than the luminance that the meter states: one of them is "
    .. "corrected and the other is not, or the spectrum does not reach far enough.", math.abs(percent), percent > 0 and "higher"
      or "lower"), { level = "doubt" })
end

local function record_white(read)
  local r, why = read.white, doubt_of(read, { "white" })
  local light = not why and light_of(r) or nil
  why = why or not light and "white: its spectrum gives no chromaticity" or nil
  local function number(name, value, unit, reason)
    record.value { name = name, value = value, unit = unit, why = value and "" or why or reason }
  end
  number("White luminance", light and light.Y, "cd/m2")
  local known, t = false, nil
  if light then known, t = pcall(colour.cct, light) end
  number("White CCT", known and t.cct or nil, "K", "white is too far from the Planckian locus to have a colour temperature")
  number("White Duv", known and t.duv or nil, "", "white is too far from the Planckian locus to have a colour temperature")
  number("Melanopic daylight ratio", light and colour.melanopic(r.spectrum).der, "")
  if light then note_difference(100 * (light.Y / r.Y - 1)) end
end

local function record_spectra(read)
  if doubt_of(read, { "red", "green", "blue", "white" }) then return end
  local tbl = record.table("Spectra", {
    { "wavelength", "nm" }, { "red", "W/(sr m2 nm)" }, { "green", "W/(sr m2 nm)" }, { "blue", "W/(sr m2 nm)" }, { "white", "W/(sr m2 nm)" },
  })
  local s = read.white.spectrum
  for i in ipairs(s.values) do
    local row = { wavelength = s.from + (i - 1) * s.step }
    for _, c in ipairs(colours) do row[c.name] = read[c.name].spectrum.values[i] end
    tbl:add(row)
  end
  record.plot { table = tbl, x = "wavelength", y = { "red", "green", "blue", "white" }, title = "Spectra" }
end

return procedure {
  title    = "Spectrum",
  purpose  = "Measures the spectra of red, green, blue and white: their peaks and widths, the gamut that follows from them, and how much "
    .. "of white acts on the inner clock.",
  needs    = { meter = { spectrum = true }, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  params   = {
    window           = { default = 10, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    delay            = { default = 2, unit = "s", min = 0, max = 3600,
      help = "sets the time from the patch to the reading, in which the panel responds" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600,
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision        = { default = 0.2, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    local read = run.part("spectra", function() return measure_all(p) end, { readings = #colours })
    record_peaks(read)
    record_gamut(read)
    record_white(read)
    record_spectra(read)
    record.note("Widths are those that the meter shows: its own bandwidth is included, and makes a narrow peak wider.")
    record.note("The melanopic daylight ratio compares white with daylight D65 of the same luminance (CIE S 026; the action spectrum is "
      .. "kept from memory, see colour.melanopic). It says nothing of how bright the room is or how long somebody looks.")
    record.note("A peak stands out where the spectrum falls on both sides of it by a twentieth of its highest value (common practice, no "
      .. "source).")
  end,
}
