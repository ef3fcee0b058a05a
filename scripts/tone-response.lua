local tone = require "tone"
local rewarm = require "rewarm"

-- Readings of black scatter most, and every number of the curve depends on black.
local readings_of_black = 15

-- measure_step shows a grey step and measures it. With a constant average picture level
-- (APL) the surround keeps the mean light of the screen the same, so that a panel
-- that limits its power limits every step alike.
local function measure_step(p, signal, exponent, window, watch)
  local background = p.apl == "constant" and tone.background(signal, window, exponent) or 0
  local shown = patches.show { grey = signal, window = window, background = background, bits = p.bits }
  local r = meter.measure {
    after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch,
    least = signal == 0 and readings_of_black or nil,
  }
  return { signal = shown.green, reading = r, Y = r.Y, u = r.u_Y, doubt = r.doubt }
end

-- Until the gamma is known the surround is only about right. One dark grey against
-- white tells the gamma well enough. Here the panel also settles at the power that
-- the whole series takes.
local function first_look(p)
  local guess = p.target == "power" and p.gamma or 2.2
  if p.apl ~= "constant" then return guess end
  local white = measure_step(p, 1, guess, p.window, true)
  local grey = measure_step(p, 0.35, guess, p.window, false)
  local found = guess
  if not white.doubt and not grey.doubt and grey.Y > 0 and white.Y > grey.Y then
    found = math.log(grey.Y / white.Y) / math.log(0.35)
  end
  return run.decide("exponent of the surround", math.max(1, math.min(4, found))), not white.reading.bound and white.doubt or nil
end

-- A step is power-limited when the same grey is brighter in a smaller window. Where
-- the smaller window cannot be read, the step counts as limited.
local function is_limited(p, step)
  local small = measure_step(p, step.signal, 1, p.window / 4)
  local noise = 3 * math.sqrt((step.u or 0) ^ 2 + (small.u or 0) ^ 2)
  return small.doubt ~= nil or small.Y > step.Y + math.max(0.005 * step.Y, noise)
end

-- With a constant APL the panel has settled at its power in the first look.
-- signal_of gives the signal of a grey, counted from 0, as a whole code.
local function signal_of(p, i)
  local codes = 2 ^ p.bits - 1
  return math.floor(i / (p.steps - 1) * codes + 0.5) / codes
end

-- number_of_readings gives how many readings there are: with a constant level two more for the first look, with a free one
-- a second one of each bright grey.
local function number_of_readings(p)
  if p.apl == "constant" then return p.steps + 2 end
  local n = p.steps
  for i = 0, p.steps - 1 do
    if signal_of(p, i) >= 0.5 then n = n + 1 end
  end
  return n
end

local function measure_steps(p, exponent)
  local steps = {}
  local watch = nil
  if p.apl == "constant" then watch = false end
  for i = 0, p.steps - 1 do
    local signal = signal_of(p, i)
    local step = measure_step(p, signal, exponent, p.window, watch)
    if p.apl == "free" and signal >= 0.5 then
      step.limited = run.decide("power-limited", is_limited(p, step))
    end
    table.insert(steps, step)
  end
  return steps
end

-- Black below the meter's floor counts as zero, and is stated as an upper limit.
local function black_of(steps)
  local dark = steps[1].reading
  record.value { name = "Black luminance", value = dark }
  local zero = run.decide("black counts as zero", dark.bound == "upper" or dark.Y <= 0)
  return zero and 0 or dark.Y, meter.about().floor
end

local function record_chromaticity(steps)
  local top = steps[#steps]
  local white, worst, at = top.reading, nil, nil
  for _, s in ipairs(steps) do
    local r = s.reading
    if r.u and white.u and not s.excluded and not top.doubt then
      s.shift = colour.delta_uv(r.u, r.v, white.u, white.v)
      if s.signal < 1 and s.shift > (worst or -1) then worst, at = s.shift, s.signal end
    end
  end
  record.value { name = "Largest chromaticity shift from white", id = "largest-chromaticity-shift", value = worst, unit = "",
    why = worst and "" or top.doubt or "this meter measures luminance only, or no step is included" }
  if at then record.note(string.format("The largest chromaticity shift from white is at signal %.3f.", at)) end
end

-- reference_white gives the white that the steps are compared with: the measured
-- one or, where that is clipped or limited, the one to which the fit extrapolates.
local function reference_white(steps, fit, black)
  local white = steps[#steps]
  if white.doubt and not fit then return nil end
  if white.excluded and fit then
    record.note(string.format("The measured white is not used as reference: %s. The steps are compared with the white to which their fit "
      .. "extrapolates.",
      white.excluded))
    return black + math.exp(fit.intercept)
  end
  return white.Y
end

local function record_table(p, steps, black, white, why)
  local tbl = record.table("Tone response", {
    { "signal" }, { "luminance", "cd/m2" }, { "gamma" }, { "target", "cd/m2" }, { "deviation", "%" }, { "delta u'v'" }, { "excluded" },
  })
  local worst = nil
  for _, s in ipairs(steps) do
    local target = white and tone.target(p.target, p.gamma, s.signal, white, black)
    local row = { signal = s.signal, luminance = s.reading, target = target, ["delta u'v'"] = s.shift, excluded = s.excluded }
    if white and target > 0 and s.signal < 1 and s.excluded ~= "near the meter's floor" then
      row.deviation = 100 * (s.Y / target - 1)
      if not s.excluded and math.abs(row.deviation) > math.abs(worst or 0) then worst = row.deviation end
    end
    if white and not s.excluded and s.signal < 1 then
      row.gamma = math.log((s.Y - black) / (white - black)) / math.log(s.signal)
    end
    tbl:add(row)
  end
  record.plot { table = tbl, x = "signal", y = white and { "luminance", "target" } or "luminance" }
  record.value { name = "Largest deviation from target", value = not why and worst or nil, unit = "%",
    why = why or worst and "" or "no step can be compared with the target" }
end

-- doubt_of says why nothing can be said of the curve: black is in all of it, and
-- so is the level at which the panel limits its power.
local function doubt_of(steps, fit, unsettled)
  if unsettled then return unsettled end
  if steps[1].doubt then return "black: " .. steps[1].doubt end
  if not fit then return steps[#steps].doubt or "fewer than three steps can be used for the gamma" end
  return nil
end

-- The BT.1886 curve depends on black. Where black is only known to be below the
-- meter's floor the target is uncertain; the note says by how much.
local function note_open_target(p, steps, black, floor)
  if p.target ~= "bt1886" or black > 0 or floor <= 0 then return end
  local white, signal = steps[#steps].Y, steps[math.floor(#steps / 4) + 1].signal
  local low = tone.target(p.target, p.gamma, signal, white, 0)
  local high = tone.target(p.target, p.gamma, signal, white, floor)
  record.note(string.format("Black is below the meter's floor and counts as zero. "
    .. "If it were at the floor, the target at signal %.3f would be %.1f %% higher.",
    signal, 100 * (high / low - 1)), { level = "doubt" })
end

return procedure {
  title    = "Tone response",
  purpose  = "Measures the tone response (EOTF) of an SDR display with a series of greys: its gamma, its deviation from a target curve, "
    .. "and how far the colour of the greys is from white.",
  needs    = { meter = { dark = "optional" }, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    steps     = { default = 21, min = 4, max = 256, whole = true,
      help = "sets how many greys are measured, evenly spaced from black to white" },
    window    = { default = 10, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    apl       = { default = "constant", one_of = { "constant", "free" }, formerly = { "level" },
      help = "keeps the average picture level constant with a grey surround; free: the surround is black" },
    target    = { default = "power", one_of = { "power", "srgb", "bt1886" },
      help = "chooses the tone curve that the response is compared with" },
    gamma     = { default = 2.2, min = 1, max = 4, help = "sets the gamma of the target curve; it is used only with target = power" },
    bits      = { default = 8, min = 6, max = 12, whole = true, help = "sets the bit depth of the signal" },
    delay     = { default = 2, unit = "s", min = 0, max = 3600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    dark_level = { default = "leave", one_of = { "take", "leave" }, formerly = { "zero" },
      help = "chooses whether the meter measures its own dark level first; take: it does, for a dark level that drifts by more "
        .. "than readings scatter; leave: it does not, for a meter that is stable or cannot measure it" },
    precision = { default = 0.25, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    if p.apl == "constant" and p.window > 50 then
      error("a constant average picture level (apl) needs a window of 50 % at most: no surround can make up for a larger one; "
        .. "set apl = free")
    end
    if p.dark_level == "take" then
      patches.black()
      meter.dark()
    end
    run.readings(number_of_readings(p))
    local exponent, unsettled = run.part("first look", function() return first_look(p) end)
    local steps = run.part("steps", function() return measure_steps(p, exponent) end)
    record.value { name = "White luminance", value = not unsettled and steps[#steps].reading or nil, unit = "cd/m2", why = unsettled }

    local black, floor = black_of(steps)
    tone.exclude(steps, black, floor)
    local fit, misfit = tone.gamma(steps, black)
    local why = doubt_of(steps, fit, unsettled)
    record.value { name = "Gamma", value = not why and fit and fit.slope or nil, why = why }
    if fit and misfit >= 0.01 then -- a gamma describes such a curve badly
      record.note(string.format("The response is not a power function: the steps deviate by about %.1f %% from the gamma that fits best.",
        100 * misfit))
    end

    record_chromaticity(steps)
    record_table(p, steps, black, reference_white(steps, fit, black), why)
    note_open_target(p, steps, black, floor)
    for _, s in ipairs(steps) do
      if s.excluded then record.note(string.format("Signal %.3f is left out of the gamma: %s.", s.signal, s.excluded)) end
    end
  end,
}
