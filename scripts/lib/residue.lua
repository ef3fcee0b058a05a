-- What stays of a stress: from readings of a stressed and of a control place to a
-- residual, its decay and its colour.
local residue = {}

local function middle(r) return (r.began + r.ended) / 2 end

-- course_of lays a line over time through one number of some readings or, where
-- that leaves plainly less, a decay: a panel that is still warming drifts less and
-- less. It gives the course and what it leaves.
local function course_of(readings, field)
  local x, from, to, y, scatter = {}, {}, {}, {}, 0
  for i, r in ipairs(readings) do
    if r[field] == nil then return nil end
    x[i], from[i], to[i], y[i] = middle(r), r.began, r.ended, r[field]
    scatter = scatter + (r["u_" .. field] or 0) ^ 2 / #readings
  end
  local line = stats.line { x = x, y = y }
  if #readings > 5 then
    local d = stats.decay { from = from, to = to, y = y }
    if d.converged and #y * (line.rms ^ 2 - d.rms ^ 2) > 12 * math.max(d.rms ^ 2, scatter) then
      return function(t) return d:at(t) end, d.rms
    end
  end
  return function(t) return line.intercept + line.slope * t end, line.rms
end

local function joined(a, b)
  local all = {}
  for _, r in ipairs(a) do table.insert(all, r) end
  for _, r in ipairs(b) do table.insert(all, r) end
  return all
end

-- offset_of is the mean difference, or ratio, of a place against the one of
-- reference, before.
local function offset_of(before, at, field, against)
  local list = {}
  for i, r in ipairs(before) do list[i] = against(r[field], at(middle(r))) end
  return stats.mean(list)
end

local function ratio(a, b) return a / b end
local function difference(a, b) return a - b end

-- series gives by how much each reading after the stress differs from before, shown
-- being the probe that ended it.
function residue.series(before, after, shown)
  local lit = shown.lit
  local visits = joined(before.reference, after.reference)
  local Y, left = course_of(visits, "Y")
  local u, v = course_of(visits, "u"), course_of(visits, "v")
  local base = offset_of(before.place, Y, "Y", ratio)
  local base_u = u and offset_of(before.place, u, "u", difference)
  local base_v = v and offset_of(before.place, v, "v", difference)
  local out = { after = {}, lit_within = shown.lit_within }
  for i, r in ipairs(after.place) do
    local t = middle(r)
    out.after[i] = {
      from = r.began - lit, to = r.ended - lit, Y = r.Y, residual = 100 * (r.Y / Y(t) / base - 1),
      u = u and r.u and r.u - u(t) - base_u, v = v and r.v and r.v - v(t) - base_v,
    }
  end
  -- How well the zero is known: from all single readings before, and how the
  -- visits to the other place lie about their course.
  local single, n = 0, 0
  for _, r in ipairs(before.place) do
    single, n = single + r.n * (r.u_Y or 0) ^ 2, n + r.n
  end
  local place_u = math.sqrt(single / #before.place / n) / Y(middle(before.place[1]))
  out.u_zero = 100 * math.sqrt(2 * place_u ^ 2 + (left / Y(lit)) ^ 2 / #visits)
  return out
end

-- noise of the readings from neighbours' differences.
local function noise_of(after)
  local sum = 0
  for i = 2, #after do sum = sum + (after[i].residual - after[i - 1].residual) ^ 2 end
  return math.sqrt(sum / 2 / (#after - 1))
end

-- candidates are decays that could be meant: none, of one term, of one that ends
-- beside zero, of two.
local function candidates(columns)
  local all = {}
  for _, c in ipairs { { terms = 1, offset = 0 }, { terms = 1 }, { terms = 2, offset = 0 }, { terms = 2 } } do
    local d = stats.decay { from = columns.from, to = columns.to, y = columns.y, terms = c.terms, offset = c.offset }
    if d.converged then
      table.insert(all, {
        decay = d, fixed = c.offset ~= nil, offset = d.offset, terms = d.terms, rms = d.rms,
        numbers = 2 * c.terms + (c.offset and 0 or 1),
      })
    end
  end
  local mean = stats.mean(columns.y)
  local scatter = math.sqrt(stats.sd(columns.y) ^ 2 * (#columns.y - 1) / #columns.y)
  table.insert(all, { fixed = true, offset = 0, terms = {}, rms = math.sqrt(scatter ^ 2 + mean ^ 2), numbers = 0 })
  table.insert(all, { offset = mean, terms = {}, rms = scatter, numbers = 1 })
  return all
end

local dear = 20

-- choose takes the decay that explains the readings with the fewest numbers: the
-- least n·rms²/noise² + numbers·ln n, to which what it ends beside zero adds as
-- far as the zero is known. A further term must explain far more than it costs,
-- since the first few readings can always be followed by a quick one.
local function choose(series, free)
  local columns = { from = {}, to = {}, y = {} }
  for i, s in ipairs(series.after) do columns.from[i], columns.to[i], columns.y[i] = s.from, s.to, s.residual end
  if #columns.y < 10 then
    error(string.format("the decay has %d readings, want 10 or more: a shorter period, or a longer watch", #columns.y))
  end
  local noise, n = noise_of(series.after), #columns.y
  local best, all = nil, candidates(columns)
  for _, c in ipairs(all) do
    c.squares = n * (c.rms / noise) ^ 2 + (c.offset / series.u_zero) ^ 2
    c.cost = c.squares + c.numbers * math.log(n) + dear * math.max(0, #c.terms - free)
    c.noise, c.n = noise, n
    if not best or c.cost < best.cost then best = c end
  end
  return best, all
end

local function sum_of(terms, t)
  local y = 0
  for _, term in ipairs(terms) do y = y + term.amplitude * math.exp(-t / term.tau) end
  return y
end

-- numbers_of takes what the sum needs out of a fit's terms, since it is taken often.
local function numbers_of(terms)
  local all = {}
  for i, term in ipairs(terms) do all[i] = { amplitude = term.amplitude, tau = term.tau } end
  return all
end

-- mean_of is the same over an integration.
local function mean_of(terms, from, to)
  local y = 0
  for _, term in ipairs(terms) do
    y = y + term.amplitude * term.tau / (to - from) * (math.exp(-from / term.tau) - math.exp(-to / term.tau))
  end
  return y
end

-- plain says that a term stands out of the noise.
local function plain(term)
  return term.u_amplitude ~= nil and math.abs(term.amplitude) > 5 * term.u_amplitude
end

-- double is the signal of about twice the light.
function residue.double(grey, signal)
  if signal == "pq" then return colour.luminance_to_pq(2 * colour.pq_to_luminance(grey)) end
  return math.min(1, grey * 2 ^ (1 / 2.2))
end

-- answer is how an unstressed place answers the change of picture: power limiting
-- that comes back, above all, by the quick terms of a decay that stand out of the
-- noise. What is left, such as the panel's warmth, is small and slow: how much
-- there is of a decay that lasts a fifth of the series, or a minute.
function residue.answer(series, watch)
  local quick, long = {}, math.min(watch / 5, 60)
  for _, term in ipairs(choose(series, 0).terms) do
    if term.tau < long and plain(term) then table.insert(quick, term) end
  end
  quick = numbers_of(quick)
  local slow, squares, noise = 0, 0, noise_of(series.after)
  for _, s in ipairs(series.after) do
    local x = mean_of({ { amplitude = 1, tau = long } }, s.from, s.to)
    slow, squares = slow + x * (s.residual - mean_of(quick, s.from, s.to)), squares + x * x
  end
  table.insert(quick, { amplitude = slow / squares, tau = long })
  return {
    mean = function(from, to) return mean_of(quick, from, to) end,
    slope = function(t) -- % in a second
      local y = 0
      for _, term in ipairs(quick) do y = y - term.amplitude / term.tau * math.exp(-t / term.tau) end
      return y
    end,
    -- standard uncertainty in %, of the slow part: the quick ones are over at the
    -- first reading that is kept
    u = function(t) return noise / math.sqrt(squares) * math.exp(-t / long) end,
    said = string.format("A place that was not stressed answered to the change of picture by %.3f %% at once; that is taken off.",
        sum_of(quick, 0)),
  }
end

-- take_off takes that answer off the residual of a place that was. Readings are
-- left out while the answer changes by more than their noise in twice the time
-- that the moment of light is known to; it gives how many.
function residue.take_off(series, answer)
  local noise, kept = noise_of(series.after), {}
  for _, s in ipairs(series.after) do
    s.residual = s.residual - answer.mean(s.from, s.to)
    if math.abs(answer.slope(s.from)) * 2 * series.lit_within <= noise then table.insert(kept, s) end
  end
  local dropped = #series.after - #kept
  series.after = kept
  return dropped
end

-- Standard uncertainties within which a residual is taken to lie, and within which
-- it must lie under a level for a limit on the time to be stated.
local sure, safe = 2, 4

-- known_zero is how well the zero is known, by the readings before and by where
-- the decay itself ends.
local function known_zero(all, terms, u_zero)
  for _, c in ipairs(all) do
    if not c.fixed and c.decay and #c.terms == terms and c.decay.u_offset then
      return 1 / math.sqrt(1 / u_zero ^ 2 + 1 / c.decay.u_offset ^ 2)
    end
  end
  return u_zero
end

-- course makes a fit to the residual's course: at a moment, and how well it is
-- known there by the fit, by the zero and by the answer that was taken off. An
-- end that is within what is known of the zero counts as zero.
local function course(c, all, series, answer)
  local stays = math.abs(c.offset) > 3 * series.u_zero and c.offset or 0
  local zero = known_zero(all, #c.terms, series.u_zero)
  local made, terms = { stays = stays }, numbers_of(c.terms)
  function made.at(t) return stays + sum_of(terms, t) end
  function made.u(t)
    local fit = c.noise / math.sqrt(c.n)
    if c.decay and not c.fixed and stays == 0 then
      fit, zero = c.decay:u_change(t, 1e9) or math.huge, 0
    elseif c.decay then
      fit = c.decay:u_at(t) or math.huge
    end
    return math.sqrt(fit ^ 2 + zero ^ 2 + answer.u(t) ^ 2)
  end
  return made
end

-- possible says that a fit explains the readings nearly as well as the best does,
-- by no more numbers than that or two terms from zero, and has no term that is over within a few readings.
local function possible(c, best, series)
  local first = series.after[1]
  for _, term in ipairs(c.terms) do
    if term.tau < 3 * (first.to - first.from) then return false end
  end
  return c ~= best and c.numbers <= math.max(4, best.numbers) and c.squares + 4 * c.numbers < best.squares + 4 * best.numbers + 10
end

-- fit gives the residual's course, and others that are possible, too.
function residue.fit(series, answer)
  local best, all = choose(series, 1)
  local model = course(best, all, series, answer)
  model.terms, model.plain, model.others = best.terms, false, {}
  for _, c in ipairs(all) do
    if possible(c, best, series) then table.insert(model.others, course(c, all, series, answer)) end
  end
  for _, term in ipairs(best.terms) do model.plain = model.plain or plain(term) end
  model.said = string.format("The decay was fitted with %d terms%s; readings scatter by %.3f %%, the zero is known to %.3f %%.",
    #best.terms, model.stays ~= 0 and string.format(" and %.3f %% that stay for longer than was read", model.stays) or "",
    best.noise, series.u_zero)
  return model
end

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
  local off = math.max(late.seconds - at.seconds, at.seconds - early.seconds)
  if at.bound and early.bound then return { seconds = at.seconds, bound = "lower", why = "" } end
  if not at.bound and not late.bound and at.seconds > 0 and off <= share * at.seconds then
    return { seconds = at.seconds, early = early.seconds, late = late.seconds, why = "" }
  end
  if early.seconds == 0 and not limit.bound then
    return { seconds = limit.seconds, bound = limit.seconds > 0 and "upper" or nil, why = "" }
  end
  return { why = string.format("noise hides when %s: between %.0f and %.0f s%s", what, early.seconds, late.seconds,
    late.bound and ", or later" or "") }
end

-- time_under is from when on the residual stays within a level.
function residue.time_under(model, level, watch)
  local found = within(model, watch, function() return { level = level, u = 0 } end)
  return stated(found, string.format("the residual passes %g %%", level))
end

local timed = 8 -- standard uncertainties that a residual must have at once for its decay to be timed

-- constant is from when on it stays within 1/e of what it is at once.
function residue.constant(model, watch)
  if not model.plain or math.abs(model.at(0)) < timed * model.u(0) then
    return { why = "the residual is too small against the noise to time its decay" }
  end
  local e = math.exp(1)
  local found = within(model, watch, function(c)
    return { level = math.abs(c.at(0)) / e, u = c.u(0) / e / 2 }
  end)
  found.limit.bound = "lower" -- one from the beginning on would say nothing of a decay
  return stated(found, "the residual is within 1/e of what it was")
end

-- By how much the residual may be uncertain to be stated: in points, or as a share.
local most_points, share_at_once = 0.3, 0.5

-- at_once is the residual just after the stress.
function residue.at_once(model)
  local first = model.at(0)
  local low, high = first, first
  for _, c in ipairs { model, unpack(model.others) } do
    low, high = math.min(low, c.at(0) - sure * c.u(0)), math.max(high, c.at(0) + sure * c.u(0))
  end
  if math.max(high - first, first - low) > math.max(most_points, share_at_once * math.abs(first)) then
    return { why = string.format("noise hides how large it is: between %.2f and %.2f %%", low, high) }
  end
  return { percent = first, low = low, high = high, why = "" }
end

-- shift is the residual's distance in u'v' just after the stress: both
-- differences follow the course of the luminance's residual, so each is a line
-- over it. Small ones are stated as a limit, since noise makes every distance
-- larger.
function residue.shift(series, model)
  local first = model.at(0)
  if not model.plain or first == 0 then
    return { why = "the residual is too small against the noise to tell its colour" }
  end
  local shape, u, v = {}, {}, {}
  for i, s in ipairs(series.after) do
    if not s.u then return { why = "the meter gives no colour" } end
    shape[i], u[i], v[i] = model.at((s.from + s.to) / 2) / first, s.u, s.v
  end
  local du, dv = stats.line { x = shape, y = u }, stats.line { x = shape, y = v }
  local uv = math.sqrt(du.slope ^ 2 + dv.slope ^ 2)
  local noise = math.sqrt(du.u_slope ^ 2 + dv.u_slope ^ 2)
  if uv < 3 * noise then return { uv = uv + 2 * noise, bound = "upper", why = "" } end
  return { uv = uv, why = "" }
end

return residue
