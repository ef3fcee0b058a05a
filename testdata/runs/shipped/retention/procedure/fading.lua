-- What is stated of a residual's course: how large it is at once, and when it has
-- faded. Each comes as all that may be stated of it, and as the one of these that the
-- readings bear: a value, a limit or nothing.
local fading = {}

-- Standard uncertainties within which a residual is taken to lie, and within which
-- it must lie under a level for a limit on the time to be stated.
local sure, safe = 2, 4

local parts, stride = 2000, 8 -- of the time that was read, and how many are passed over at first

-- on_grid gives the size of a course, and how well it is known, at the parts' ends;
-- each is worked out once.
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

-- last_over is the last moment at which a number of a course is larger than a
-- level; where that is the end of what was read, only that it is later. Only a
-- hump that is over within a few parts would be missed, and no term is so quick.
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

-- within finds from when on a course stays within a level, and between which
-- moments that lies by all courses that are possible. The level may be a share of
-- what the course is at once, whose uncertainty then counts as well: by half,
-- since errors of both mostly go together.
local function within(model, watch, level_of)
  local found = last_over(on_grid(model, watch).size, level_of(model).level, watch)
  local early, late, limit = { seconds = math.huge }, { seconds = 0 }, { seconds = 0 }
  for _, c in ipairs { model, unpack(model.others) } do
    local l, grid = level_of(c), on_grid(c, watch)
    local function beside(factor)
      return last_over(function(i) return grid.size(i) + factor * math.sqrt(grid.u(i) ^ 2 + l.u ^ 2) end, l.level, watch)
    end
    local e, a, b = beside(-sure), beside(sure), beside(safe)
    if e.seconds < early.seconds then early = e end
    if a.seconds > late.seconds then late = a end
    if b.seconds > limit.seconds then limit = b end
  end
  return { at = found, early = early, late = late, limit = limit }
end

local share = 0.42 -- of a time, by which it may be uncertain to be stated

-- stated is a time where it is known well enough; else, where it may have been
-- there from the beginning, how late it was at most, or why it cannot be told.
local function stated(found, what)
  local at, early, late, limit = found.at, found.early, found.late, found.limit
  local all = {
    value = { seconds = at.seconds, early = early.seconds, late = late.seconds, why = "" },
    ["never above"] = { seconds = at.seconds, why = "" },
    ["lower limit"] = { seconds = early.seconds, bound = "lower", why = "" },
    ["upper limit"] = not limit.bound and { seconds = limit.seconds, bound = "upper", why = "" } or nil,
    nothing = { why = string.format("noise hides when %s: between %.0f and %.0f s%s", what, early.seconds, late.seconds,
      late.bound and ", or later" or "") },
  }
  local off = math.max(late.seconds - at.seconds, at.seconds - early.seconds)
  if at.bound and early.bound then return all, "lower limit" end
  if not at.bound and not late.bound and at.seconds > 0 and off <= share * at.seconds then return all, "value" end
  if early.seconds == 0 and not limit.bound then return all, limit.seconds > 0 and "upper limit" or "never above" end
  return all, "nothing"
end

-- time_under is from when on the residual stays within a level.
function fading.time_under(model, level, watch)
  local found = within(model, watch, function() return { level = level, u = 0 } end)
  return stated(found, string.format("the residual passes %g %%", level))
end

local timed = 8 -- standard uncertainties that a residual must have at once for its decay to be timed

-- constant is from when on it stays within 1/e of what it is at once.
function fading.constant(model, watch)
  local e = math.exp(1)
  local found = within(model, watch, function(c)
    return { level = math.abs(c.at(0)) / e, u = c.u(0) / e / 2 }
  end)
  found.limit.bound = "lower" -- one from the beginning on would say nothing of a decay
  local all, bears = stated(found, "the residual is within 1/e of what it was")
  if model.plain and math.abs(model.at(0)) >= timed * model.u(0) then return all, bears end
  all.nothing.why = "the residual is too small against the noise to time its decay"
  return all, "nothing"
end

-- By how much the residual may be uncertain to be stated: in points, or as a share.
local most_points, share_at_once = 0.3, 0.5

-- at_once is the residual just after the stress.
function fading.at_once(model)
  local first = model.at(0)
  local low, high = first, first
  for _, c in ipairs { model, unpack(model.others) } do
    low, high = math.min(low, c.at(0) - sure * c.u(0)), math.max(high, c.at(0) + sure * c.u(0))
  end
  local all = {
    value = { percent = first + model.hidden, low = low, high = high, why = "" },
    nothing = { why = string.format("noise hides how large it is: between %.2f and %.2f %%", low, high) },
  }
  return all, math.max(high - first, first - low) > math.max(most_points, share_at_once * math.abs(first)) and "nothing" or "value"
end

return fading
