local ramp = require "ramp"
local rewarm = require "rewarm"

local function show(p, code)
  patches.show { code = code, bits = p.bits, window = p.window }
end

local function read_code(p, code)
  show(p, code)
  return meter.read { after = p.onset, repeats = p.repeats, sync = true }
end

-- read_ramp reads every code once, upwards, so that what drifts is shared by
-- neighbours.
local function read_ramp(p)
  local codes = {}
  for code = p.from, p.to do
    local r = read_code(p, code)
    table.insert(codes, { code = code, Y = r.Y, u = r.u_Y or 0, floor = r.flags.below_floor })
  end
  return codes
end

-- reread reads two neighbours in turn, so that no drift comes between them, and
-- gives the step's size anew, until it is plain what the step is or there were
-- enough. The first reading is not kept: power limiting still comes from the
-- picture before.
local function reread(p, s)
  local low, high = {}, {}
  local again
  read_code(p, s.code - 1)
  repeat
    table.insert(low, read_code(p, s.code - 1).Y)
    table.insert(high, read_code(p, s.code).Y)
    again = #low > 1 and ramp.step(s.code, low, high) or nil
    local enough = #low >= p.most or #low >= p.pairs and ramp.plain(again, s.expected, p.merged, p.jump)
  until run.decide("told", enough)
  return again
end

local function row_of(tbl, s)
  tbl:add {
    code = s.code, luminance = s.Y, step = s.rise, ["local exponent"] = s.size, expected = s.expected, finding = s.finding,
  }
end

-- why a count cannot be given
local function unsure_of(steps)
  local list = {}
  for _, s in ipairs(steps) do
    if s.unsure then table.insert(list, string.format("%d", s.code)) end
  end
  if #list == 0 then return nil end
  return "noise hides what the steps to these codes are: " .. table.concat(list, ", ")
    .. ". More pairs (most), or a brighter first code, may tell."
end

return procedure {
  title    = "Banding",
  purpose  = "Steps of a grey ramp that merge with the one before or jump ahead, by differences against the readings' noise. "
    .. "A person at the meter can do it for a short stretch of codes; all 248 take some 1,300 typed readings.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    bits    = { default = 8, min = 6, max = 12, whole = true, help = "bits of the signal" },
    from    = { default = 8, min = 1, max = 4095, whole = true, help = "first code; near-black is for the darker ones" },
    to      = { default = 255, min = 8, max = 4095, whole = true, help = "last code" },
    window  = { default = 10, unit = "%", min = 0.1, max = 100, help = "share of the screen; one that power limiting leaves alone" },
    onset   = { default = 1, unit = "s", min = 0, max = 600, help = "from lit to reading" },
    repeats = { default = 5, min = 2, max = 100, whole = true, help = "single readings of each code" },
    pairs   = { default = 4, min = 2, max = 50, whole = true, help = "how often a step that looks odd is read again at least" },
    most    = { default = 40, min = 2, max = 200, whole = true, help = "how often one that is hard to tell is at most" },
    merged  = { default = 0.3, min = 0.05, max = 0.7, help = "a step under this share of its neighbours' has merged" },
    jump    = { default = 1.5, min = 1.2, max = 10, help = "a step over so many times its neighbours' is a jump" },
    beside  = { default = 6, min = 3, max = 30, whole = true, help = "how many neighbours on each side tell what to expect" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    local top = 2 ^ p.bits - 1
    if p.to > top or p.to - p.from < 2 * p.beside then
      error(string.format("to is %d, want %d to %d: the last code of %d bits, and room for neighbours",
        p.to, p.from + 2 * p.beside, top, p.bits))
    end
    if p.most < p.pairs then
      error(string.format("most is %d, want pairs (%d) or more", p.most, p.pairs))
    end
    local codes = run.part("ramp", function() return read_ramp(p) end)
    local steps = ramp.steps(codes)
    ramp.expect(steps, p.beside)

    run.part("odd steps", function()
      for _, s in ipairs(steps) do
        if run.decide("odd", ramp.odd(s, p.merged, p.jump)) then s.again = reread(p, s) end
      end
    end)

    local tbl = record.table("Steps of the ramp",
      { { "code" }, { "luminance", "cd/m2" }, { "step", "%" }, { "local exponent" }, { "expected" }, { "finding" } })
    local found = ramp.judge(steps, p.merged, p.jump)
    for _, s in ipairs(steps) do row_of(tbl, s) end
    record.plot { table = tbl, x = "code", y = { "local exponent", "expected" } }

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
    record.note(string.format("A step is the change from the code before to this one. Its size is the local exponent, "
      .. "ln(L2/L1)/ln(code2/code1), which a smooth curve changes slowly; it is compared with the median of %d steps on each side.",
      p.beside))
  end,
}
