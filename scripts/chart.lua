local ring = require "ring"
local differences = require "differences"
local doubts = require "doubts"
local rewarm = require "rewarm"

-- measure also gives the signals that were truly shown: a source may not have those that were asked for.
local function measure(p, rgb, watch)
  local shown = patches.show { rgb = rgb, window = p.window, bits = p.bits }
  local r = meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }
  return r, { shown.red, shown.green, shown.blue }
end

-- The signals of a colour are rounded to codes first, and its target is computed
-- from the rounded signals: the display is not to blame for the rounding.
local function signals_of(p, linear)
  local rgb, codes = {}, 2 ^ p.bits - 1
  for i, light in ipairs(linear) do
    rgb[i] = math.floor(differences.encode(p.target, p.gamma, light) * codes + 0.5) / codes
  end
  return rgb
end

-- The colours are shown in random order, so that a drift does not look like an
-- error of some hues. White is read before, after and between.
local function read_colours(p, set)
  local function measure_white() return (measure(p, { 1, 1, 1 }, true)) end
  local whites, between = { measure_white() }, 32
  for i, c in ipairs(run.shuffle("colours", set)) do
    c.reading, c.rgb = measure(p, signals_of(p, c.linear), false)
    c.doubt = c.reading.doubt
    if i % between == 0 or i == #set then table.insert(whites, measure_white()) end
  end
  return whites
end

local function white_of(whites)
  local mean = { X = 0, Y = 0, Z = 0 }
  for _, w in ipairs(whites) do
    for k in pairs(mean) do mean[k] = mean[k] + w[k] / #whites end
  end
  return mean
end

local function record_white(white, whites, why)
  local first, last = whites[1].Y, whites[#whites].Y
  record.value { name = "White luminance", value = white, unit = "cd/m2", why = why or "" }
  record.value {
    name = "White drift", value = white and first > 0 and 100 * (last / first - 1) or nil, unit = "%",
    why = first > 0 and (why or "") or "white gave no light",
  }
end

-- The light of black is part of every target. Black below the meter's floor counts as zero.
local function black_of(r)
  return run.decide("black is under the floor", r.flags.below_floor or r.Y <= meter.about().floor) and 0 or r.Y
end

-- sorted_out gives the colours that can be compared. A colour that gave no light
-- has no chromaticity, and a colour with a doubt, say of a saturated meter, was not
-- measured as the panel shows it.
local function sorted_out(p, set)
  local kept, dropped, doubtful = {}, 0, {}
  for _, c in ipairs(set) do
    if c.doubt then
      table.insert(doubtful, c)
    elseif p.luminance_counts or c.reading.Y > 0 then
      table.insert(kept, c)
    else
      dropped = dropped + 1
    end
  end
  return kept, dropped, doubtful
end

-- why_nothing says why no difference can be stated. White and black are part of
-- each one, and without many of its colours the chart is not the same chart.
local most_missing = 0.05

local function why_nothing(set, whites, dark)
  local white = doubts.first(whites)
  if white then return "white: " .. white end
  if dark.doubt then return "black: " .. dark.doubt end
  local w = whites[1]
  if not w.X then return "this meter measures luminance only, no colour" end
  if math.min(w.X, w.Y, w.Z) <= 0 then return "white gave no light, or light without a colour" end
  local doubtful = {}
  for _, c in ipairs(set) do
    if c.doubt then table.insert(doubtful, c) end
  end
  if #doubtful <= most_missing * #set then return nil end
  return string.format("%d of %d colours could not be read: %s", #doubtful, #set, doubtful[1].doubt)
end

-- compare gives the differences and, where the scatter of the readings is known,
-- the squares of the distances by which noise moves them.
local function compare(p, set, white, black, whites)
  local readings, targets = {}, {}
  for i, c in ipairs(set) do
    readings[i] = c.reading
    targets[i] = differences.target(p, c.rgb, black / white.Y)
  end
  local wanted, found = differences.labs(p, readings, targets, white)
  local all = colour.delta_e2000 { a = wanted, b = found }
  for i, c in ipairs(set) do
    c.wanted, c.found, c.target, c.difference = wanted:at(i), found:at(i), targets[i], all[i]
  end
  return all, whites and differences.scatter(p, readings, targets, whites)
end

local function record_table(set)
  local tbl = record.table("Colours of the chart", {
    { "lightness" }, { "chroma" }, { "hue", "deg" }, { "red" }, { "green" }, { "blue" }, { "luminance", "cd/m2" },
    { "target L*" }, { "target a*" }, { "target b*" }, { "L*" }, { "a*" }, { "b*" }, { "difference" },
  })
  for _, c in ipairs(set) do
    tbl:add {
      lightness = c.L, chroma = c.C, hue = c.h, red = c.rgb[1], green = c.rgb[2], blue = c.rgb[3], luminance = c.reading.Y,
      ["target L*"] = c.wanted.L, ["target a*"] = c.wanted.a, ["target b*"] = c.wanted.b,
      ["L*"] = c.found.L, ["a*"] = c.found.a, ["b*"] = c.found.b, difference = c.difference,
    }
  end
end

-- What is recorded of the differences, by a key, and the ids that it had before.
local statistics = {
  average    = { name = "Average ΔE2000", formerly = "average-difference" },
  median     = { name = "Median ΔE2000", formerly = "median-difference" },
  percentile = { name = "95th percentile ΔE2000", formerly = "percentile-95-difference" },
  maximum    = { name = "Maximum ΔE2000", formerly = "worst-difference" },
  greys      = { name = "Average ΔE2000 of greys", formerly = "average-difference-of-greys" },
  bias       = { name = "Bias of average ΔE2000", formerly = "bias-of-average" },
}

local function record_differences(p, set, all, squares)
  local above, greys = 0, {}
  for _, c in ipairs(set) do
    if c.difference > p.threshold then above = above + 1 end
    if c.C == 0 then table.insert(greys, c.difference) end
  end
  local function difference(key, x, why)
    local of = statistics[key]
    record.value { name = of.name, value = x, unit = "CIEDE2000", why = why or "", formerly = of.formerly }
  end
  difference("average", stats.mean(all))
  difference("median", stats.median(all))
  difference("percentile", stats.percentile(all, 95))
  difference("maximum", stats.percentile(all, 100))
  difference("greys", #greys > 0 and stats.mean(greys) or nil, #greys == 0 and "no grey of the set could be compared" or nil)
  local wanted = {}
  for i, c in ipairs(set) do wanted[i] = c.wanted end
  difference("bias", squares and differences.bias(all, squares, wanted),
    not squares and "the readings do not tell how much they scatter" or nil)
  record.value { name = "Share above threshold", value = 100 * above / #all, unit = "%" }
end

local function name_of(c)
  if c.C == 0 then return string.format("grey of L* %.0f", c.L) end
  return string.format("L* %g, C* %g, hue %.0f", c.L, c.C, c.h)
end

local function draw(p, set, all)
  local points = {}
  for _, c in ipairs(set) do
    if c.reading.u then table.insert(points, { name = name_of(c), measured = c.reading, target = c.target }) end
  end
  if #points > 0 then
    record.chromaticity { title = "Colours of the chart, as measured", id = "chart-drawn", points = points, space = p.space }
  end
  record.distribution {
    title = "ΔE2000 of the chart", values = all, unit = "CIEDE2000",
    marks = { { name = "threshold", value = p.threshold }, { name = "average", value = stats.mean(all) } },
  }
end

-- The BT.1886 curve depends on black. Where black is only known to be below the
-- meter's floor the targets are uncertain; the note says by how much.
local function note_open_target(p, set, white, black)
  local floor = meter.about().floor
  if p.target ~= "bt1886" or black > 0 or floor <= 0 then return end
  local zero, most = stats.mean((compare(p, set, white, 0))), stats.mean((compare(p, set, white, floor)))
  record.note(string.format("Black is below the meter's floor and counts as zero. If it were at the floor, the average ΔE2000 would "
    .. "be %.2f instead of %.2f.", most, zero), { level = "doubt" })
end

local spaces = { bt709 = "BT.709", ["p3-d65"] = "P3-D65" }

local curves = {
  power = "a power function with gamma %g", srgb = "the sRGB curve", bt1886 = "BT.1886",
}

local function note_doubtful(doubtful)
  if #doubtful == 0 then return end
  record.note(string.format("%d colours are left out because they could not be measured as the panel shows them: %s.",
    #doubtful, doubtful[1].doubt), { level = "doubt" })
end

local function note_terms(p, set, outside, dropped, black)
  record.note(string.format("The chart has %d colours of %s: greys, and rings of equal chroma in CIELAB. The rule of the set is at the "
    .. "head of ring.lua, which is kept with the run. %d places of the rings lie outside the space and are left out.",
    #set + dropped, spaces[p.space], outside))
  record.note(p.white == "measured" and "Measured colours refer to the measured white, and targets to the white of the space."
    or "Measured colours and targets refer to the white of the space, with the luminance of the measured white.")
  record.note(string.format("The target curve is %s, with %s.", string.format(curves[p.target], p.gamma),
    black > 0 and string.format("a black of %.4g cd/m2", black) or "a black of zero"))
  record.note(p.luminance_counts and "Luminance counts in the differences."
    or "Luminance does not count in the differences: each colour is compared at the luminance of its target.")
  record.note(string.format("The threshold of %g is a rule of thumb, without a source.", p.threshold))
  record.note("Differences are CIEDE2000 with all weighting factors 1. In a list of n differences in rising order, number k is the "
    .. "percentile 100 k / (n + 1).")
  record.note("Noise makes the average larger by about its bias, and the maximum of many differences by more.")
  if dropped > 0 then
    record.note(string.format("%d colours gave no light and are left out.", dropped), { level = "doubt" })
  end
end

-- record_nothing says of each value why it is missing.
local function record_nothing(why)
  for _, key in ipairs { "average", "median", "percentile", "maximum", "greys", "bias" } do
    record.value { name = statistics[key].name, unit = "CIEDE2000", why = why, formerly = statistics[key].formerly }
  end
  record.value { name = "Share above threshold", unit = "%", why = why }
end

return procedure {
  title    = "Colour chart",
  purpose  = "Measures how far the display's colours are from their targets, for a set of colours that fills a colour space.",
  needs    = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    colours          = { default = 128, min = 8, max = 1000, whole = true, help = "sets how many colours are measured" },
    space            = { default = "bt709", one_of = { "bt709", "p3-d65" }, help = "chooses the colour space of the targets" },
    target           = { default = "power", one_of = { "power", "srgb", "bt1886" }, help = "chooses the tone curve of the targets" },
    gamma            = { default = 2.2, min = 1, max = 4,
      help = "sets the gamma of the target curve; it is used only with target = power" },
    white            = { default = "measured", one_of = { "measured", "target" },
      help = "chooses the reference white of the measured colours; measured: the white that was read; target: the white of the space" },
    luminance_counts = { default = true, help = "includes luminance in the differences; false: compare chromaticity only" },
    threshold        = { default = 3, min = 0, max = 100, help = "counts the colours whose ΔE2000 is above this" },
    window           = { default = 10, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    bits             = { default = 8, min = 6, max = 12, whole = true, help = "sets the bit depth of the signal" },
    delay            = { default = 2, unit = "s", min = 0, max = 3600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision        = { default = 0.25, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    local all, outside = ring.set(p.space, p.colours)
    run.readings(1 + #all + math.ceil(#all / 32) + 1)
    local dark = run.part("black", function() return measure(p, { 0, 0, 0 }) end)
    local whites = run.part("colours", function() return read_colours(p, all) end)
    local why = why_nothing(all, whites, dark)
    if why then
      record_white(whites[1], whites, doubts.first(whites))
      return record_nothing(why)
    end
    local white, black = white_of(whites), black_of(dark)
    record_white(white.Y, whites)

    local set, dropped, doubtful = sorted_out(p, all)
    note_doubtful(doubtful)
    if #set == 0 then return record_nothing("no colour gave light") end
    local found, squares = compare(p, set, white, black, whites)
    record_differences(p, set, found, squares)
    record_table(set)
    draw(p, set, found)
    note_terms(p, set, outside, dropped, black)
    note_open_target(p, set, white, black)
  end,
}
