-- What stays of a stress: from readings of a stressed and of a control place to a
-- residual, its decay and its colour.
local residue = {}

local function middle(r) return (r.began + r.ended) / 2 end

-- line_of lays a straight line over time through one number of some readings.
local function line_of(readings, field)
  local x, y = {}, {}
  for i, r in ipairs(readings) do
    if r[field] == nil then return nil end
    x[i], y[i] = middle(r), r[field]
  end
  local line = stats.line { x = x, y = y }
  return function(t) return line.intercept + line.slope * t end, line
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
-- being the probe that ended it. The place of reference, which drifts slowly, is a
-- straight line over time.
function residue.series(before, after, shown)
  local lit = shown.lit
  local visits = joined(before.reference, after.reference)
  local Y, line = line_of(visits, "Y")
  local u, v = line_of(visits, "u"), line_of(visits, "v")
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
  -- visits to the other place lie about their line.
  local single, n = 0, 0
  for _, r in ipairs(before.place) do
    single, n = single + r.n * (r.u_Y or 0) ^ 2, n + r.n
  end
  local place_u = math.sqrt(single / #before.place / n) / Y(middle(before.place[1]))
  out.u_zero = 100 * math.sqrt(2 * place_u ^ 2 + (line.rms / Y(lit)) ^ 2 / #visits)
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
      table.insert(all, { decay = d, offset = d.offset, terms = d.terms, rms = d.rms, numbers = 2 * c.terms + (c.offset and 0 or 1) })
    end
  end
  local mean = stats.mean(columns.y)
  local scatter = math.sqrt(stats.sd(columns.y) ^ 2 * (#columns.y - 1) / #columns.y)
  table.insert(all, { offset = 0, terms = {}, rms = math.sqrt(scatter ^ 2 + mean ^ 2), numbers = 0 })
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
  local best
  for _, c in ipairs(candidates(columns)) do
    c.cost = n * (c.rms / noise) ^ 2 + c.numbers * math.log(n) + (c.offset / series.u_zero) ^ 2
      + dear * math.max(0, #c.terms - free)
    if not best or c.cost < best.cost then best = c end
  end
  best.noise = noise
  return best
end

local function sum_of(terms, t)
  local y = 0
  for _, term in ipairs(terms) do y = y + term.amplitude * math.exp(-t / term.tau) end
  return y
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
-- there is of a decay that lasts a fifth of the series.
function residue.answer(series, watch)
  local quick = {}
  for _, term in ipairs(choose(series, 0).terms) do
    if term.tau < watch / 5 and plain(term) then table.insert(quick, term) end
  end
  local slow, squares = 0, 0
  for _, s in ipairs(series.after) do
    local x = mean_of({ { amplitude = 1, tau = watch / 5 } }, s.from, s.to)
    slow, squares = slow + x * (s.residual - mean_of(quick, s.from, s.to)), squares + x * x
  end
  table.insert(quick, { amplitude = slow / squares, tau = watch / 5 })
  return {
    mean = function(from, to) return mean_of(quick, from, to) end,
    slope = function(t) -- % in a second
      local y = 0
      for _, term in ipairs(quick) do y = y - term.amplitude / term.tau * math.exp(-t / term.tau) end
      return y
    end,
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

-- fit gives the residual's course. An end that is within what is known of the
-- zero counts as zero.
function residue.fit(series)
  local best = choose(series, 1)
  local stays = math.abs(best.offset) > 3 * series.u_zero and best.offset or 0
  local model = { terms = best.terms, plain = false, timed = false, margin = 2 * series.u_zero }
  function model.at(t) return stays + sum_of(best.terms, t) end
  for _, term in ipairs(best.terms) do
    if plain(term) then model.plain, model.timed = true, model.timed or term.u_tau < 0.4 * term.tau end
  end
  model.said = string.format("The decay was fitted with %d terms%s; readings scatter by %.3f %%, the zero is known to %.3f %%.",
    #best.terms, stays ~= 0 and string.format(" and %.3f %% that stay for longer than was read", stays) or "", best.noise, series.u_zero)
  return model
end

-- last_over is the last moment at which the fitted residual is larger than a
-- level, without its sign; where that is the end of what was read, only that it
-- is later.
function residue.last_over(model, level, watch)
  local parts = 4000
  local step = watch / parts
  for i = parts, 0, -1 do
    local y = math.abs(model.at(i * step))
    if y > level then
      if i == parts then return { seconds = watch, bound = "lower" } end
      local next_y = math.abs(model.at((i + 1) * step))
      return { seconds = step * (i + (y - level) / (y - next_y)) }
    end
  end
  return { seconds = 0 }
end

-- time_under is from when on the residual stays within a level. Where it lingers
-- so near to the level that the noise of the zero decides, there is no telling.
function residue.time_under(model, level, watch)
  local found = residue.last_over(model, level, watch)
  local early = residue.last_over(model, level + model.margin, watch)
  local late = residue.last_over(model, math.max(level - model.margin, 0), watch)
  if not found.bound and late.seconds > 3 * early.seconds + 10 or found.bound and not early.bound then
    return { why = string.format("the residual lingers so near to %g %% that noise hides when it passes: between %.0f and %.0f s%s",
      level, early.seconds, late.seconds, late.bound and ", or later" or "") }
  end
  return { seconds = found.seconds, bound = found.bound, why = "" }
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
