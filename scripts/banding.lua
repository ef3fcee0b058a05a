local ramp = require "ramp"
local rewarm = require "rewarm"

local function show(p, code)
  patches.show { code = code, bits = p.bits, window = p.window }
end

local function read_code(p, code)
  show(p, code)
  return meter.read { after = p.delay, repeats = p.repeats, sync = true }
end

-- read_ramp reads every code once, upwards, so that neighbours share the same drift.
local function read_ramp(p)
  local codes = {}
  for code = p.from, p.to do
    local r = read_code(p, code)
    table.insert(codes, { code = code, Y = r.Y, u = r.u_Y or 0, floor = r.flags.below_floor })
  end
  return codes
end

-- reread reads the two codes of a step in turn, so that no drift comes between
-- them, and gives the size of the step again. It stops when the readings tell what
-- the step is, or after p.max_pairs pairs. The first reading is not kept: there the
-- panel still limits its power for the picture before.
local function reread(p, s)
  local low, high = {}, {}
  local again
  read_code(p, s.code - 1)
  repeat
    table.insert(low, read_code(p, s.code - 1).Y)
    table.insert(high, read_code(p, s.code).Y)
    again = #low > 1 and ramp.step(s.code, low, high) or nil
    local enough = #low >= p.max_pairs or #low >= p.min_pairs and ramp.plain(again, s.expected, p.merged, p.jump)
  until run.decide("told", enough)
  return again
end

local function number_odd(p, steps)
  local n = 0
  for _, s in ipairs(steps) do
    if ramp.odd(s, p.merged, p.jump) then n = n + 1 end
  end
  return n
end

local function row_of(tbl, s)
  tbl:add {
    code = s.code, luminance = s.Y, step = s.rise, ["local exponent"] = s.size, ["expected exponent"] = s.expected, finding = s.finding,
  }
end

-- unsure_of says why the steps cannot be counted, nil where they can.
local function unsure_of(steps)
  local list = {}
  for _, s in ipairs(steps) do
    if s.unsure then table.insert(list, string.format("%d", s.code)) end
  end
  if #list == 0 then return nil end
  return "noise hides whether the steps to these codes are odd: " .. table.concat(list, ", ")
    .. "; allow more pairs (max_pairs), or begin at a brighter code (from)"
end

return procedure {
  title    = "Banding",
  purpose  = "Finds steps of a grey ramp that have merged with the step before, that jump, or that go backwards. Each step is "
    .. "compared with its neighbours, and read again where noise could explain it. By hand, measure a short range of codes: all "
    .. "248 take about 1,300 typed readings.",
  needs    = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    bits    = { default = 8, min = 6, max = 12, whole = true, help = "sets the bit depth of the signal" },
    from    = { default = 8, min = 1, max = 4095, whole = true, help = "sets the first code; use near-black for darker codes" },
    to      = { default = 255, min = 8, max = 4095, whole = true, help = "sets the last code" },
    window  = { default = 10, unit = "%", min = 0.1, max = 100,
      help = "sets the share of the screen that the patch fills; choose one at which the panel does not limit its power" },
    delay   = { default = 1, unit = "s", min = 0, max = 600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    repeats = { default = 5, min = 2, max = 100, whole = true, help = "sets how many single readings are taken of each code" },
    min_pairs  = { default = 4, min = 2, max = 50, whole = true, formerly = { "pairs" },
      help = "sets the smallest number of times that the two codes of a suspicious step are read again" },
    max_pairs  = { default = 40, min = 2, max = 200, whole = true, formerly = { "most" },
      help = "sets the largest number of times that the two codes of a step are read again if noise hides what the step is" },
    merged     = { default = 0.3, min = 0.05, max = 0.7,
      help = "sets the size below which a step counts as merged, as a share of the size of its neighbours" },
    jump       = { default = 1.5, min = 1.2, max = 10,
      help = "sets the size above which a step counts as a jump, in sizes of its neighbours" },
    neighbours = { default = 6, min = 3, max = 30, whole = true, formerly = { "beside" },
      help = "sets how many steps on each side a step is compared with" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    local top = 2 ^ p.bits - 1
    if p.to > top or p.to - p.from < 2 * p.neighbours then
      error(string.format("to is %d; it must be %d to %d: with %d bits the last code is %d, and with from = %d each step is compared "
        .. "with %d steps on both sides", p.to, p.from + 2 * p.neighbours, top, p.bits, top, p.from, p.neighbours))
    end
    if p.max_pairs < p.min_pairs then
      error(string.format("max_pairs is %d; it must be min_pairs (%d) or more", p.max_pairs, p.min_pairs))
    end
    run.readings(p.to - p.from + 1)
    local codes = run.part("ramp", function() return read_ramp(p) end)
    local steps = ramp.steps(codes)
    ramp.expect(steps, p.neighbours)
    local odd_ones = number_odd(p, steps)
    if odd_ones > 0 then run.readings(odd_ones * (1 + 2 * p.max_pairs), { at_most = true }) end

    run.part("odd steps", function()
      for _, s in ipairs(steps) do
        if run.decide_by("odd", function() return ramp.odd(s, p.merged, p.jump) end) then s.again = reread(p, s) end
      end
    end)

    local tbl = record.table("Steps of the ramp",
      { { "code" }, { "luminance", "cd/m2" }, { "step", "%" }, { "local exponent" }, { "expected exponent" }, { "finding" } })
    local found = ramp.judge(steps, p.merged, p.jump)
    for _, s in ipairs(steps) do row_of(tbl, s) end
    record.plot { table = tbl, x = "code", y = { "local exponent", "expected exponent" } }

    local odd = record.table("Merged steps and jumps", { { "code" }, { "finding" }, { "step", "%" }, { "share of its neighbours", "%" } })
    for _, s in ipairs(steps) do
      if s.finding then
        odd:add { code = s.code, finding = s.finding, step = s.rise, ["share of its neighbours"] = 100 * s.size / s.expected }
      end
    end
    local why = unsure_of(steps)
    for _, name in ipairs { "Merged steps", "Jumps", "Reversed steps" } do
      record.value { name = name, value = not why and found[name] or nil, why = why or "" }
    end
    record.note(string.format("A step is the change of luminance from the code before to this code. Its size is the local "
      .. "exponent, ln(L2/L1)/ln(code2/code1), which changes slowly along a smooth curve. It is compared with the median of "
      .. "%d steps on each side.", p.neighbours))
  end,
}
