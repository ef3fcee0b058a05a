local nearblack = require "nearblack"
local doubts = require "doubts"
local rewarm = require "rewarm"

local function read(p)
  return meter.read { after = p.delay, repeats = p.repeats, sync = true }
end

local function read_black(p)
  patches.black()
  return read(p)
end

local function read_code(p, code)
  patches.show { code = code, bits = p.bits, window = p.window }
  return read(p)
end

-- compare reads a code between two blacks, and again until the difference is clearly
-- above or below the threshold, or p.max_pairs times. The meter's dark level, its
-- drift and stray light of the room are in both readings and cancel.
local function compare(p, code)
  local differences, lights, blacks, doubt = {}, {}, {}, nil
  local before = read_black(p).Y
  repeat
    local r = read_code(p, code)
    doubt = doubt or r.doubt
    local light, after = r.Y, read_black(p).Y
    table.insert(lights, light)
    table.insert(blacks, (before + after) / 2)
    table.insert(differences, light - (before + after) / 2)
    before = after
    local enough = #differences >= p.max_pairs
      or #differences >= p.min_pairs and nearblack.plain(differences, p.threshold, p.coverage_factor)
  until run.decide("told apart", enough)
  local mean, u = nearblack.mean(differences)
  return { code = code, net = mean, u = u, n = #differences, light = stats.mean(lights), black = stats.mean(blacks),
    doubt = doubt }
end

local function record_steps(p, steps, scale)
  local tbl = record.table("Steps above black", {
    { "code" }, { "luminance", "cd/m2" }, { "above black", "cd/m2" },
    { "standard uncertainty", "cd/m2" }, { "pairs" }, { "target above black", "cd/m2" }, { "deviation", "%" },
    { "above threshold" } })
  for _, s in ipairs(steps) do
    s.target = scale and nearblack.target(p.target, p.gamma, s.code / (2 ^ p.bits - 1), scale)
    tbl:add {
      code = s.code, luminance = s.light, ["above black"] = s.net, ["standard uncertainty"] = s.u, pairs = s.n,
      ["target above black"] = s.target, deviation = s.target and s.target > p.threshold and 100 * (s.net / s.target - 1) or nil,
      ["above threshold"] = s.verdict,
    }
  end
  record.plot { table = tbl, x = "code", y = scale and { "above black", "target above black" } or "above black" }
end

local function record_black(steps, floor)
  local sum, weights = 0, 0
  for _, s in ipairs(steps) do sum, weights = sum + s.black * s.n, weights + s.n end
  local black = sum / weights
  local under = run.decide("black is under the floor", black <= floor)
  local known = not under or floor > 0
  record.value {
    name = "Black luminance", value = known and (under and math.max(black, floor) or black) or nil, unit = "cd/m2",
    bound = under and "upper" or nil, why = known and "" or "black does not read above zero, and the meter's floor is not stated",
  }
  local said = under and string.format(" The average is below the meter's floor, the lowest luminance that the meter reads reliably (%g "
    .. "cd/m2).", floor) or ""
  record.note(string.format("The average of all readings of black is %.5f cd/m2. It may contain a remaining error of the meter's own "
    .. "dark level.%s", black, said))
  return black
end

return procedure {
  title    = "Near black",
  purpose  = "Finds the first step above black, and how many steps are crushed compared with a target curve. Each step is compared "
    .. "with readings of black before and after it, and negative readings are kept. By hand this takes about 200 typed readings. "
    .. "Do not judge by eye: what an eye sees depends on the room and on how long it has adapted to the dark.",
  needs    = { meter = { dark = "optional" }, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    bits    = { default = 8, min = 6, max = 12, whole = true, help = "sets the bit depth of the signal" },
    last    = { default = 12, min = 2, max = 255, whole = true, help = "sets the last code; codes are measured from 1 up" },
    window  = { default = 10, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that the patch fills" },
    threshold = { default = 0.005, unit = "cd/m2", min = 0.0001, max = 10, formerly = { "least" },
      help = "sets by how much a step must be brighter than black to count as above black" },
    target  = { default = "power", one_of = { "power", "srgb", "bt1886" },
      help = "chooses the tone curve from which the expected first step is computed" },
    gamma   = { default = 2.2, min = 1, max = 4, help = "sets the gamma of the target curve; it is used only with target = power" },
    delay   = { default = 1, unit = "s", min = 0, max = 600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    repeats = { default = 1, min = 1, max = 100, whole = true, help = "sets how many single readings are taken each time" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance of white to become stable; 0: do not wait" },
    min_pairs = { default = 4, min = 4, max = 1000, whole = true, formerly = { "pairs" },
      help = "sets the smallest number of times that each step is compared with black" },
    max_pairs = { default = 40, min = 4, max = 1000, whole = true, formerly = { "most" },
      help = "sets the largest number of times that a step is compared with black if noise hides whether it is above "
        .. "the threshold" },
    coverage_factor = { default = 4, min = 2, max = 10, formerly = { "sure" },
      help = "sets by how many standard uncertainties a difference must be above or below the threshold" },
    rest    = { default = 60, unit = "s", min = 0, max = 86400, help = "sets how long the panel rests on black before the first reading" },
    dark_level = { default = "take", one_of = { "take", "leave" }, formerly = { "zero" },
      help = "chooses whether the meter measures its own dark level first; take: it does; leave: it does not, for a meter that cannot"
        .. " measure it" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    patches.black()
    clock.wait(p.rest)
    if p.dark_level == "take" then meter.dark() end

    local steps = {}
    run.readings(math.min(p.last, 2 ^ p.bits - 1) * (1 + 2 * p.max_pairs) + 1, { at_most = true })
    run.part("steps", function()
      for code = 1, math.min(p.last, 2 ^ p.bits - 1) do
        table.insert(steps, compare(p, code))
      end
    end)
    local white = run.part("white", function()
      patches.show { grey = 1, window = p.window }
      return meter.measure { after = p.delay, relative = 0.1, settle = p.longest_settling, watch = true }
    end)

    local found = nearblack.first(steps, p.threshold, p.coverage_factor)
    local doubt = doubts.first(steps)
    if doubt then found = { why = doubt } end
    local black = record_black(steps, meter.about().floor)
    local scale = not white.doubt and { white = white.Y - black, black = math.max(black, 0) } or nil
    record_steps(p, steps, scale)

    local why_target = white.doubt and "white: " .. white.doubt or ""
    local expected = scale and nearblack.expected(p.target, p.gamma, p.bits, scale, p.threshold)
    record.value {
      name = "First step above black", formerly = "first-visible-step", value = found.code, unit = "code", bound = found.bound,
      why = found.why,
    }
    record.value {
      name = "Expected first step above black", formerly = "first-step-of-the-target", value = expected, unit = "code", why = why_target,
    }
    record.value {
      name = "Crushed steps", formerly = "crush", value = found.code and expected and found.code - expected, unit = "code",
      bound = found.bound,
      why = found.code and why_target or found.why,
    }
    record.note(string.format("A step is above black if it is clearly more than %g cd/m2 brighter than black: by %g standard "
      .. "uncertainties of the comparison. The number of crushed steps is the first step above black of the display minus that of "
      .. "the target curve. A negative number means that the display lifts its dark steps.", p.threshold, p.coverage_factor))
    if p.threshold < meter.about().floor then
      record.note(string.format("The threshold of %g cd/m2 is below the meter's floor of %g cd/m2. The result depends on the average of "
        .. "many differences.", p.threshold, meter.about().floor), { level = "doubt" })
    end
  end,
}
