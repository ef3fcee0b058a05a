-- Steps of a ramp of codes: how large each step is, and which steps differ from
-- their neighbours.
local ramp = {}

-- size of a step from one code to the next is the local exponent,
-- ln(L2/L1)/ln(c2/c1): 2.2 all along a power of 2.2, 0 of a step that merged.
local function size(code, low, high, u_low, u_high)
  if low <= 0 or high <= 0 then return nil end
  local span = math.log(code / (code - 1))
  return math.log(high / low) / span, math.sqrt((u_low / low) ^ 2 + (u_high / high) ^ 2) / span
end

-- steps gives the step to each code but the first. Codes are { code, Y, u } in
-- order.
function ramp.steps(codes)
  local steps = {}
  for i = 2, #codes do
    local a, b = codes[i - 1], codes[i]
    local s = { code = b.code, Y = b.Y, rise = a.Y > 0 and 100 * (b.Y / a.Y - 1) or nil }
    s.size, s.u = size(b.code, a.Y, b.Y, a.u, b.u)
    table.insert(steps, s)
  end
  return steps
end

-- step is one step from readings of two codes in turn.
function ramp.step(code, low, high)
  local c = stats.paired { a = high, b = low }
  local a, b = stats.mean(low), stats.mean(high)
  local s, u = size(code, a, b, 0, c.u)
  return { size = s, u = u, n = #low, rise = a > 0 and 100 * c.mean / a or nil }
end

-- expect gives each step the median size of its neighbours as expected size, and
-- those neighbours.
function ramp.expect(steps, beside)
  for i, s in ipairs(steps) do
    local sizes = {}
    s.beside = {}
    for k = math.max(1, i - beside), math.min(#steps, i + beside) do
      local other = steps[k]
      if k ~= i and other.size then
        sizes[#sizes + 1] = other.size
        s.beside[#sizes] = other
      end
    end
    s.expected = #sizes > 2 and stats.median(sizes) or nil
  end
end

-- noise_beside gives the pooled noise of a step's neighbours: the scatter of five
-- readings alone says little.
local function noise_beside(s)
  local squares = {}
  for i, other in ipairs(s.beside) do squares[i] = other.u ^ 2 end
  return math.sqrt(stats.mean(squares))
end

-- odd says whether a step must be read again: its size is suspicious, or could be
-- with its noise.
function ramp.odd(s, merged, jump)
  if not s.size or not s.expected or s.expected <= 0 then return true end
  local share, noise = s.size / s.expected, noise_beside(s) / s.expected
  return share < merged + 0.1 + 3 * noise or share > jump - 0.1 - 3 * noise
end

local sure = 3 -- standard uncertainties that a step must be away from each limit

-- plain says whether several readings of a step tell what it is: merged, reversed, a
-- jump or none of them. Few readings may agree by chance, so their uncertainty is
-- widened as Student's t is wider than the normal distribution.
function ramp.plain(again, expected, merged, jump)
  if not again.size or not expected or expected <= 0 then return false end
  local share, noise = again.size / expected, again.u / expected * (1 + 6 / (again.n - 1))
  for _, limit in ipairs { -merged, merged, jump } do
    if math.abs(share - limit) <= sure * noise then return false end
  end
  return true
end

local function finding(s, merged, jump)
  local share = s.size / s.expected
  if share < -merged then return "reversed" end
  if share < merged then return "merged" end
  if share > jump then return "jump" end
  return nil
end

-- unsure_of gives the codes of the steps that were read again and are still
-- unclear. The readings as they were taken decide it, since drawn readings contain
-- their noise twice.
local function unsure_of(steps, merged, jump)
  local unsure = {}
  for _, code in ipairs(run.decide_by("codes whose steps noise hides", function()
    local codes = {}
    for _, s in ipairs(steps) do
      if s.again and not ramp.plain(s.again, s.expected, merged, jump) then table.insert(codes, s.code) end
    end
    return codes
  end)) do unsure[code] = true end
  return unsure
end

-- judge names what each step is, and counts. A step that is still unclear after it
-- was read again is marked unsure.
function ramp.judge(steps, merged, jump)
  local count = { ["Merged steps"] = 0, ["Jumps"] = 0, ["Reversed steps"] = 0 }
  local names = { merged = "Merged steps", jump = "Jumps", reversed = "Reversed steps" }
  local unsure = unsure_of(steps, merged, jump)
  for _, s in ipairs(steps) do
    if s.again then s.size, s.rise = s.again.size, s.again.rise end
    if unsure[s.code] or not s.size or not s.expected then
      s.unsure = true
    else
      s.finding = finding(s, merged, jump)
      if s.finding then count[names[s.finding]] = count[names[s.finding]] + 1 end
    end
  end
  return count
end

return ramp
