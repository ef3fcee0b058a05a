-- What is stated of a residual: how large it is at first, and when it has faded. Each
-- function gives two functions. bears says which statement the readings support: a
-- value, a limit or nothing. state makes a statement. What bears needs takes long, and
-- draws state the same as the run.
local fading = {}

-- A residual is taken to lie within sure standard uncertainties. For an upper limit
-- of a time it must be below the level by safe standard uncertainties.
local sure, safe = 2, 4

local parts, stride = 2000, 8 -- of the duration; how many parts the first search skips

-- on_grid gives the size of a curve and its uncertainty at the ends of the parts; each
-- is computed once.
local function on_grid(c, watch)
  if c.grid then return c.grid end
  local function kept(of)
    local all = {}
    return function(i)
      all[i] = all[i] or of(i * watch / parts)
      return all[i]
    end
  end
  c.grid = { size = kept(function(t) return math.abs(c.at(t)) end), u = kept(c.u) }
  return c.grid
end

-- last_over gives the last moment at which a number of a curve is above a level. Where
-- it is still above at the end of the readings, that end is a lower limit. Only a hump
-- of a few parts would be missed, and no term is so quick.
local function last_over(of, level, watch)
  if of(parts) > level then return { seconds = watch, bound = "lower" } end
  for k = parts - stride, 0, -stride do
    if of(k) > level then
      local i = k + stride - 1
      while of(i) <= level do i = i - 1 end
      local y, next_y = of(i), of(i + 1)
      return { seconds = watch / parts * (i + (y - level) / (y - next_y)) }
    end
  end
  return { seconds = 0 }
end

-- within finds the moment from which on a curve stays within a level, and a function
-- that gives its range by all possible curves. The level may be a share of the initial
-- residual. The uncertainty of that counts then, too, but by half only, since errors of
-- both mostly go together.
local function within(model, watch, level_of, u_of)
  local range
  return last_over(on_grid(model, watch).size, level_of(model), watch), function()
    if range then return range end
    range = { early = { seconds = math.huge }, late = { seconds = 0 }, limit = { seconds = 0 } }
    for _, c in ipairs { model, unpack(model.others()) } do
      local level, u, grid = level_of(c), u_of(c), on_grid(c, watch)
      local function beside(factor)
        return last_over(function(i) return grid.size(i) + factor * math.sqrt(grid.u(i) ^ 2 + u ^ 2) end, level, watch)
      end
      local early, late, limit = beside(-sure), beside(sure), beside(safe)
      if early.seconds < range.early.seconds then range.early = early end
      if late.seconds > range.late.seconds then range.late = late end
      if limit.seconds > range.limit.seconds then range.limit = limit end
    end
    return range
  end
end

local share = 0.42 -- largest uncertainty of a time that is stated, as a share of it

-- borne says how a time is stated: as a value where it is known well enough; as an
-- upper limit where the residual may have been within from the beginning.
local function borne(at, range)
  local early, late, limit = range.early, range.late, range.limit
  local off = math.max(late.seconds - at.seconds, at.seconds - early.seconds)
  if at.bound and early.bound then return "lower limit" end
  if not at.bound and not late.bound and at.seconds > 0 and off <= share * at.seconds then return "value" end
  if early.seconds == 0 and not limit.bound then return limit.seconds > 0 and "upper limit" or "never above" end
  return "nothing"
end

-- stated gives the statement of a time.
local function stated(what, at, range, why)
  if what == "value" then
    return { seconds = at.seconds, why = "", range = function() return range().early.seconds, range().late.seconds end }
  end
  if what == "never above" then return { seconds = at.seconds, why = "" } end
  if what == "lower limit" then return { seconds = range().early.seconds, bound = "lower", why = "" } end
  if what == "upper limit" and not range().limit.bound then return { seconds = range().limit.seconds, bound = "upper", why = "" } end
  return { why = run.text_by(function()
    local early, late = range().early, range().late
    return string.format("%s between %.0f and %.0f s%s; noise hides the exact time", why, early.seconds, late.seconds,
      late.bound and ", or later" or "")
  end) }
end

-- time_under states the time after which the residual stays within a level.
function fading.time_under(model, level, watch)
  local at, range = within(model, watch, function() return level end, function() return 0 end)
  return {
    bears = function() return borne(at, range()) end,
    state = function(what) return stated(what, at, range, string.format("the residual passes %g %%", level)) end,
  }
end

local timed = 8 -- standard uncertainties that the initial residual must have for its decay to be timed

-- constant states the time after which it stays within 1/e of the initial residual.
function fading.constant(model, watch)
  local e = math.exp(1)
  local at, range_of = within(model, watch, function(c) return math.abs(c.at(0)) / e end, function(c) return c.u(0) / e / 2 end)
  local function range()
    local found = range_of()
    found.limit.bound = "lower" -- an upper limit would say nothing of a decay
    return found
  end
  local function tells() return model.plain and math.abs(model.at(0)) >= timed * model.u(0) end
  return {
    bears = function() return tells() and borne(at, range()) or "nothing" end,
    state = function(what)
      local found = stated(what, at, range, "the residual falls to 1/e (37 %) of the initial one")
      if what ~= "nothing" then return found end
      return { why = run.text_by(function()
        return tells() and found.why or "the residual is too small, compared with the noise, to time its decay"
      end) }
    end,
  }
end

-- The largest uncertainty of an initial residual that is stated: in points, or as a
-- share of it.
local most_points, share_at_once = 0.3, 0.5

-- at_once states the initial residual, at the end of the stress.
function fading.at_once(model)
  local first = model.at(0)
  local function range()
    local low, high = first, first
    for _, c in ipairs { model, unpack(model.others()) } do
      low, high = math.min(low, c.at(0) - sure * c.u(0)), math.max(high, c.at(0) + sure * c.u(0))
    end
    return low, high
  end
  return {
    bears = function()
      local low, high = range()
      return math.max(high - first, first - low) > math.max(most_points, share_at_once * math.abs(first)) and "nothing" or "value"
    end,
    state = function(what)
      if what == "value" then return { percent = first + model.hidden, range = range, why = "" } end
      return { why = run.text_by(function()
        return string.format("the initial residual lies between %.2f and %.2f %%; noise hides its exact size", range())
      end) }
    end,
  }
end

-- told says in words between which numbers a value lies.
local function told(what, found, unit)
  if not found.range then return "" end
  local low, high = found.range()
  return string.format(" %s lies between %.3g and %.3g %s (two standard uncertainties, over all curves that fit the readings).",
    what, low, high, unit)
end

-- ranges_said says in words between which numbers the values lie that at_once, time_under and constant gave.
function fading.ranges_said(first, under, constant)
  local said = told("The initial residual", first, "%") .. told("The time to threshold", under, "s")
    .. told("The time constant", constant, "s")
  return said ~= "" and said .. " A 95 % interval is for one curve only, so it can be narrower." or ""
end

-- bounds_said explains the bounds of these times that are stated, and no others.
function fading.bounds_said(under, constant)
  local said = ""
  if under.bound == "lower" or constant.bound == "lower" then
    said = said .. " A lower bound means that the time is longer than the readings lasted."
  end
  if under.bound == "upper" or constant.bound == "upper" then
    said = said .. " An upper bound means that the residual may have been below the level from the beginning."
  end
  return said
end

return fading
