local tone = require "tone"

-- show puts a grey step on the screen and reads it. With a constant level the
-- surround is as bright as it must be for the screen's mean light to stay the
-- same, so that a panel that limits its power limits every step alike.
local function read_step(p, signal, exponent, window)
  local background = p.level == "constant" and tone.background(signal, window, exponent) or 0
  patches.show { grey = signal, window = window, background = background, bits = p.bits }
  return meter.read { after = p.onset, relative = p.precision }
end

-- Until the exponent is known, the surround is only about right; one dark grey
-- against white tells it well enough.
local function first_look(p)
  local guess = p.target == "power" and p.gamma or 2.2
  if p.level ~= "constant" then return guess end
  local white = read_step(p, 1, guess, p.window)
  local grey = read_step(p, 0.35, guess, p.window)
  local found = guess
  if grey.Y > 0 and white.Y > grey.Y then
    found = math.log(grey.Y / white.Y) / math.log(0.35)
  end
  return run.decide("exponent of the surround", math.max(1, math.min(4, found)))
end

-- A step is power-limited when the same grey is brighter in a smaller window.
local function is_limited(p, r, signal)
  local small = read_step(p, signal, 1, p.window / 4)
  local noise = 3 * math.sqrt((r.u_Y or 0) ^ 2 + (small.u_Y or 0) ^ 2)
  return small.Y > r.Y + math.max(0.005 * r.Y, noise)
end

local function read_steps(p, exponent)
  local steps, codes = {}, 2 ^ p.bits - 1
  for i = 0, p.steps - 1 do
    local signal = math.floor(i / (p.steps - 1) * codes + 0.5) / codes
    local r = read_step(p, signal, exponent, p.window)
    local step = { signal = signal, Y = r.Y, u = r.u_Y, reading = r }
    if p.level == "free" and signal >= 0.5 then
      step.limited = run.decide("power-limited", is_limited(p, r, signal))
    end
    table.insert(steps, step)
  end
  return steps
end

-- A black under the meter's floor counts as zero, and is stated as a limit.
local function black_of(steps)
  local floor = meter.about().floor
  local r = steps[1].reading
  if r.Y <= floor then
    local limit = math.max(floor, r.Y + 2 * (r.u_Y or 0))
    record.value { name = "Black luminance", value = limit > 0 and limit or nil, unit = "cd/m2", bound = "upper",
      why = limit > 0 and "" or "it is not above zero, and the meter's floor is not stated" }
    return 0, floor
  end
  record.value { name = "Black luminance", value = r.Y, unit = "cd/m2", of = r }
  return r.Y, floor
end

local function record_chromaticity(steps)
  local white = steps[#steps].reading
  local worst, at
  for _, s in ipairs(steps) do
    local r = s.reading
    if r.u and white.u and not s.excluded then
      s.shift = colour.delta_uv(r.u, r.v, white.u, white.v)
      if s.signal < 1 and s.shift > (worst or -1) then worst, at = s.shift, s.signal end
    end
  end
  record.value { name = "Largest chromaticity shift from white", id = "largest-chromaticity-shift", value = worst, unit = "",
    why = worst and "" or "the meter gives no colour" }
  if at then record.note(string.format("The largest chromaticity shift from white is at signal %.3f.", at)) end
end

-- The white that the steps are held against: the measured one or, where that
-- is clipped or limited, what the other steps' fit leads to.
local function reference_white(steps, fit, black)
  local white = steps[#steps]
  if white.excluded and fit then
    record.note(string.format("White itself is not compared with: %s. The steps are held against the white that their fit leads to.",
      white.excluded))
    return black + math.exp(fit.intercept)
  end
  return white.Y
end

local function record_table(p, steps, black, white)
  local tbl = record.table("Tone response", {
    { "signal" }, { "luminance", "cd/m2" }, { "gamma" }, { "target", "cd/m2" }, { "deviation", "%" }, { "delta u'v'" }, { "excluded" },
  })
  local worst = nil
  for _, s in ipairs(steps) do
    local target = tone.target(p.target, p.gamma, s.signal, white, black)
    local row = { signal = s.signal, luminance = s.Y, target = target, ["delta u'v'"] = s.shift, excluded = s.excluded }
    if target > 0 and s.signal < 1 and s.excluded ~= "near the meter's floor" then
      row.deviation = 100 * (s.Y / target - 1)
      if not s.excluded and math.abs(row.deviation) > math.abs(worst or 0) then worst = row.deviation end
    end
    if not s.excluded and s.signal < 1 then
      row.gamma = math.log((s.Y - black) / (white - black)) / math.log(s.signal)
    end
    tbl:add(row)
  end
  record.plot { table = tbl, x = "signal", y = { "luminance", "target" } }
  record.value { name = "Largest deviation from target", value = worst, unit = "%" }
end

-- The BT.1886 curve hangs on the black, so a black that is only known to lie
-- under the floor leaves the target open; how far is said.
local function note_open_target(p, steps, black, floor)
  if p.target ~= "bt1886" or black > 0 or floor <= 0 then return end
  local white, signal = steps[#steps].Y, steps[math.floor(#steps / 4) + 1].signal
  local low = tone.target(p.target, p.gamma, signal, white, 0)
  local high = tone.target(p.target, p.gamma, signal, white, floor)
  record.note(string.format("The black is under the meter's floor and counts as zero. "
    .. "Were it at the floor, the target at signal %.3f would be %.1f %% higher.",
    signal, 100 * (high / low - 1)), { level = "caution" })
end

return procedure {
  title    = "Tone response",
  purpose  = "Luminance and chromaticity of a series of greys, its effective exponent, and its deviation from a target.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    steps     = { default = 21, min = 4, max = 256, whole = true, help = "greys from black to white" },
    window    = { default = 10, unit = "%", min = 0.1, max = 100, help = "share of the screen" },
    level     = { default = "constant", one_of = { "constant", "free" },
      help = "constant: a surround keeps the mean light of the screen; free: black around" },
    target    = { default = "power", one_of = { "power", "srgb", "bt1886" }, help = "what the response is compared with" },
    gamma     = { default = 2.2, min = 1, max = 4, help = "exponent of the power target" },
    bits      = { default = 8, min = 6, max = 12, whole = true, help = "bits of the signal" },
    onset     = { default = 2, unit = "s", min = 0, max = 3600, help = "from lit to reading" },
    precision = { default = 0.25, unit = "%", min = 0.01, max = 10, help = "read until the mean is known this well" },
  },
  run = function(p)
    if p.level == "constant" and p.window > 50 then
      error("a constant level wants a window of at most 50 %: beyond it no surround can make up for the window; set level = free")
    end
    local exponent = run.part("first look", function() return first_look(p) end)
    local steps = run.part("steps", function() return read_steps(p, exponent) end)
    local white = steps[#steps].reading
    record.value { name = "White luminance", value = white.Y, unit = "cd/m2", of = white }

    local black, floor = black_of(steps)
    tone.exclude(steps, black, floor)
    local fit = tone.gamma(steps, black)
    record.value { name = "Gamma", value = fit and fit.slope, unit = "",
      why = fit and "" or "fewer than three steps say anything about it" }

    record_chromaticity(steps)
    record_table(p, steps, black, reference_white(steps, fit, black))
    note_open_target(p, steps, black, floor)
    for _, s in ipairs(steps) do
      if s.excluded then record.note(string.format("Signal %.3f is not in the gamma: %s.", s.signal, s.excluded)) end
    end
  end,
}
