local nearblack = require "nearblack"
local steady = require "steady"
local rewarm = require "rewarm"

local function read(p)
  return meter.read { after = p.onset, repeats = p.repeats, sync = true }
end

local function read_black(p)
  patches.black()
  return read(p)
end

local function read_code(p, code)
  patches.show { code = code, bits = p.bits, window = p.window }
  return read(p)
end

-- compare reads a code between blacks, again and again, until the difference is
-- plainly over or under what counts, or there were enough. The meter's dark
-- level, its drift and the room's stray light are in both and cancel.
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
    local enough = #differences >= p.most
      or #differences >= p.pairs and nearblack.plain(differences, p.least, p.sure)
  until run.decide("told apart", enough)
  local mean, u = nearblack.mean(differences)
  return { code = code, net = mean, u = u, n = #differences, light = stats.mean(lights), black = stats.mean(blacks),
    doubt = doubt }
end

local function record_steps(p, steps, scale)
  local tbl = record.table("Steps above black", {
    { "code" }, { "luminance", "cd/m2" }, { "above black", "cd/m2" }, { "u", "cd/m2" }, { "pairs" },
    { "target above black", "cd/m2" }, { "deviation", "%" }, { "told from black" } })
  for _, s in ipairs(steps) do
    s.target = scale and nearblack.target(p.target, p.gamma, s.code / (2 ^ p.bits - 1), scale)
    tbl:add {
      code = s.code, luminance = s.light, ["above black"] = s.net, u = s.u, pairs = s.n, ["target above black"] = s.target,
      deviation = s.target and s.target > p.least and 100 * (s.net / s.target - 1) or nil, ["told from black"] = s.verdict,
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
    bound = under and "upper" or nil, why = known and "" or "it is not above zero, and the meter's floor is not stated",
  }
  record.note(string.format("Black read %.5f cd/m2 on average of all readings, the meter's own dark level included%s.",
    black, under and "; that is under its floor" or ""))
  return black
end

return procedure {
  title    = "Near black",
  purpose  = "The first step that can be told from black, and how many steps are crushed against a target curve. Every step is "
    .. "compared with black readings before and after it; negative readings are kept. By hand this takes some 200 typed readings; "
    .. "a person's eye cannot take part, since what it sees depends on the room and on how long it got used to the dark.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    bits    = { default = 8, min = 6, max = 12, whole = true, help = "bits of the signal" },
    last    = { default = 12, min = 2, max = 255, whole = true, help = "the last code that is read; reading goes from 1 up" },
    window  = { default = 10, unit = "%", min = 0.1, max = 100, help = "share of the screen" },
    least   = { default = 0.005, unit = "cd/m2", min = 0.0001, max = 10,
      help = "a step counts when it is by more than this brighter than black" },
    target  = { default = "power", one_of = { "power", "srgb", "bt1886" }, help = "the curve that says which step should be the first" },
    gamma   = { default = 2.2, min = 1, max = 4, help = "exponent of the power target" },
    onset   = { default = 1, unit = "s", min = 0, max = 600, help = "from lit to reading" },
    repeats = { default = 1, min = 1, max = 100, whole = true, help = "single readings each time" },
    patience = { default = 40, unit = "s", min = 0, max = 3600, help = "how long to wait where the light of white still changes; 0: not" },
    pairs   = { default = 4, min = 4, max = 1000, whole = true, help = "comparisons of each step at least" },
    most    = { default = 40, min = 4, max = 1000, whole = true, help = "comparisons of a step that is hard to tell at most" },
    sure    = { default = 4, min = 2, max = 10, help = "standard uncertainties from which on a difference counts as told" },
    rest    = { default = 60, unit = "s", min = 0, max = 86400, help = "black before the first reading" },
    zero    = { default = "take", one_of = { "take", "leave" },
      help = "whether the meter takes its dark level first; leave: it cannot be told to" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    patches.black()
    clock.wait(p.rest)
    if p.zero == "take" then meter.dark() end

    local steps = {}
    run.part("steps", function()
      for code = 1, math.min(p.last, 2 ^ p.bits - 1) do
        table.insert(steps, compare(p, code))
      end
    end)
    local white = run.part("white", function()
      patches.show { grey = 1, window = p.window }
      return steady.read({ onset = p.onset, precision = 0.1, patience = p.patience }, { watch = true })
    end)

    local found = nearblack.first(steps, p.least, p.sure)
    local doubt = steady.first(steps)
    if doubt then found = { why = doubt } end
    local black = record_black(steps, meter.about().floor)
    local scale = not white.doubt and { white = white.Y - black, black = math.max(black, 0) } or nil
    record_steps(p, steps, scale)

    local why_target = white.doubt and "white: " .. white.doubt or ""
    local expected = scale and nearblack.expected(p.target, p.gamma, p.bits, scale, p.least)
    record.value { name = "First visible step", value = found.code, unit = "code", bound = found.bound, why = found.why }
    record.value { name = "First step of the target", value = expected, unit = "code", why = why_target }
    record.value {
      name = "Crushed steps", id = "crush", value = found.code and expected and found.code - expected, unit = "code", bound = found.bound,
      why = found.code and why_target or found.why,
    }
    record.note(string.format("A step is told from black where it is by more than %g cd/m2 brighter, by %g standard "
      .. "uncertainties of the comparison. Crushed steps are counted from where the target has its first such step; "
      .. "fewer than none: the display lifts near black.", p.least, p.sure))
    if p.least < meter.about().floor then
      record.note(string.format("What counts (%g cd/m2) is less than the meter's floor (%g cd/m2): it rests on many differences.",
        p.least, meter.about().floor), { level = "caution" })
    end
  end,
}
