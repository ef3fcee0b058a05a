-- What stays of a stress: from readings of a stressed and of a control place to a
-- residual, its course and its colour.
--
-- What the readings themselves choose (a line or a decay, how many terms) stands in
-- run.decide, since drawn readings have their noise twice and would choose less well.
local decays = require "decays"

local residue = {}

local function middle(r) return (r.began + r.ended) / 2 end

-- courses lays a line over time through one number of some readings and a decay,
-- and says which it follows: the decay where it leaves plainly less, as of a panel
-- that is still warming and drifts less and less. It is nil where a reading lacks that number.
local function courses(readings, field)
  local x, from, to, y, scatter = {}, {}, {}, {}, 0
  for i, r in ipairs(readings) do
    if r[field] == nil then return nil end
    x[i], from[i], to[i], y[i] = middle(r), r.began, r.ended, r[field]
    scatter = scatter + (r["u_" .. field] or 0) ^ 2 / #readings
  end
  local line = stats.line { x = x, y = y }
  local all = { follows = "line", line = { at = function(t) return line.intercept + line.slope * t end, left = line.rms } }
  if #readings > 5 then
    local d = stats.decay { from = from, to = to, y = y }
    all.decay = { at = function(t) return d:at(t) end, left = d.rms }
    if d.converged and #y * (line.rms ^ 2 - d.rms ^ 2) > 12 * math.max(d.rms ^ 2, scatter) then all.follows = "decay" end
  end
  return all
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

-- against gives by how much each reading after the stress differs from before, what
-- the visits to the other place showed being known.
local function against(read, Y, u, v)
  local before, after, lit = read.before, read.after, read.shown.lit
  local base = offset_of(before.place, Y.at, "Y", ratio)
  local base_u = u and offset_of(before.place, u.at, "u", difference)
  local base_v = v and offset_of(before.place, v.at, "v", difference)
  local out = { after = {}, lit_within = read.shown.lit_within }
  for i, r in ipairs(after.place) do
    local t = middle(r)
    out.after[i] = {
      from = r.began - lit, to = r.ended - lit, Y = r.Y, residual = 100 * (r.Y / Y.at(t) / base - 1),
      u = u and r.u and r.u - u.at(t) - base_u, v = v and r.v and r.v - v.at(t) - base_v,
    }
  end
  -- How well the zero is known: from all single readings before, and how the
  -- visits to the other place lie about their course.
  local single, n = 0, 0
  for _, r in ipairs(before.place) do
    single, n = single + r.n * (r.u_Y or 0) ^ 2, n + r.n
  end
  local place_u = math.sqrt(single / #before.place / n) / Y.at(middle(before.place[1]))
  out.u_zero = 100 * math.sqrt(2 * place_u ^ 2 + (Y.left / Y.at(lit)) ^ 2 / (#before.reference + #after.reference))
  return out
end

-- series gives for each of some measurements, each by its name, by how much the
-- readings after differ from before.
function residue.series(measured)
  local laid, follow = {}, {}
  for name, read in pairs(measured) do
    local visits = joined(read.before.reference, read.after.reference)
    laid[name], follow[name] = {}, {}
    for _, field in ipairs { "Y", "u", "v" } do
      local c = courses(visits, field)
      laid[name][field], follow[name][field] = c, c and c.follows
    end
  end
  follow = run.decide("course of the visits to the other place", follow)
  local all = {}
  for name, read in pairs(measured) do
    local function of(field)
      local c = laid[name][field]
      return c and c[follow[name][field] or c.follows]
    end
    all[name] = against(read, of "Y", of "u", of "v")
  end
  return all
end

-- double is the signal of about twice the light.
function residue.double(grey, signal)
  if signal == "pq" then return colour.luminance_to_pq(2 * colour.pq_to_luminance(grey)) end
  return math.min(1, grey * 2 ^ (1 / 2.2))
end

-- quick_of is the quick terms of a decay that stand out of the noise, by their place.
local function quick_of(c, long)
  local places = {}
  for i, term in ipairs(c.terms) do
    if term.tau < long and decays.plain(term) then table.insert(places, i) end
  end
  return places
end

-- answer is how an unstressed place answers the change of picture: power limiting
-- that comes back, above all, by the quick terms of a decay that stand out of the
-- noise. What is left, such as the panel's warmth, is small and slow: how much
-- there is of a decay that lasts a fifth of the series, or a minute.
function residue.answer(series, watch)
  local off, long = {}, math.min(watch / 5, 60)
  local best, _, named = decays.choose(series, 0)
  local chosen = run.decide("answer of the control place", { decay = best.name, quick = quick_of(best, long) })
  local c = decays.follow(chosen.decay, best, named)
  for _, i in ipairs(c.name == chosen.decay and chosen.quick or quick_of(c, long)) do
    table.insert(off, { amplitude = c.terms[i].amplitude, tau = c.terms[i].tau })
  end
  local slow, u_slow = decays.share(series.after, off, long)
  table.insert(off, { amplitude = slow, tau = long })
  return {
    long = long,
    mean = function(from, to) return decays.mean(off, from, to) end,
    slope = function(t) -- % in a second
      local y = 0
      for _, term in ipairs(off) do y = y - term.amplitude / term.tau * math.exp(-t / term.tau) end
      return y
    end,
    -- standard uncertainty in %, of the slow part: the quick ones are over at the
    -- first reading that is kept
    u = function(t) return u_slow * math.exp(-t / long) end,
    said = string.format("A place that was not stressed answered to the change of picture by %.3f %% at once; that is taken off.",
        decays.sum(off, 0)),
  }
end

-- take_off takes that answer off the residual of a place that was. Readings are
-- left out while the answer changes by more than their noise in twice the time
-- that the moment of light is known to; it gives how many.
function residue.take_off(series, answer)
  local noise, out, kept = decays.noise(series.after), {}, {}
  for i, s in ipairs(series.after) do
    s.residual = s.residual - answer.mean(s.from, s.to)
    if math.abs(answer.slope(s.from)) * 2 * series.lit_within > noise then table.insert(out, i) end
  end
  out = run.decide("readings left out, by their place", out)
  local left_out = {}
  for _, i in ipairs(out) do left_out[i] = true end
  for i, s in ipairs(series.after) do
    if not left_out[i] then table.insert(kept, s) end
  end
  series.after = kept
  return #out
end

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

-- ends_beside says that a fit's end is beside what is known of the zero.
local function ends_beside(c, series) return math.abs(c.offset) > 3 * series.u_zero end

-- course makes a fit to the residual's course: at a moment, and how well it is
-- known there by the fit, by the zero and by the answer that was taken off. An
-- end that is within what is known of the zero counts as zero.
local function course(c, all, series, answer, beside)
  local stays = beside and c.offset or 0
  local zero = known_zero(all, #c.terms, series.u_zero)
  local made, terms = { stays = stays }, decays.numbers(c.terms)
  function made.at(t) return stays + decays.sum(terms, t) end
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

-- hidden_by is what of a decay of a minute the readings show where none was found,
-- as noise and the zero make it, and by how much more that is uncertain for being
-- stated as none: an error of h that is left besides one of u makes √(u² + h²) of it.
local function hidden_by(series, answer)
  local percent, u = decays.share(series.after, {}, answer.long)
  local all = u ^ 2 + series.u_zero ^ 2 + answer.u(0) ^ 2
  return { percent = percent, widens = math.sqrt(1 + percent ^ 2 / all) }
end

-- fit gives the residual's course, and others that are possible, too. Where there is
-- none, hidden is what other readings would show more of it than these do: nothing
-- on these themselves.
function residue.fit(series, answer)
  local best, all, named = decays.choose(series, 1)
  local stays = ends_beside(best, series)
  local hidden = hidden_by(series, answer)
  local chosen = run.decide("decay of the residual",
    { decay = best.name, stays = stays, hidden = #best.terms == 0 and not stays and hidden or nil })
  best = decays.follow(chosen.decay, best, named)
  local model = course(best, all, series, answer, chosen.stays)
  model.terms, model.plain, model.others = best.terms, false, {}
  model.hidden = chosen.hidden and chosen.hidden.widens * (hidden.percent - chosen.hidden.percent) or 0
  for _, c in ipairs(all) do
    if possible(c, best, series) then table.insert(model.others, course(c, all, series, answer, ends_beside(c, series))) end
  end
  for _, term in ipairs(best.terms) do model.plain = model.plain or decays.plain(term) end
  model.said = string.format("The decay was fitted with %d terms%s; readings scatter by %.3f %%, the zero is known to %.3f %%.",
    #best.terms, model.stays ~= 0 and string.format(" and %.3f %% that stay for longer than was read", model.stays) or "",
    best.noise, series.u_zero)
  return model
end

-- shift is the residual's distance in u'v' just after the stress: both
-- differences follow the course of the luminance's residual, so each is a line
-- over it. Small ones are stated as a limit, since noise makes every distance
-- larger. It gives what may be stated of it, and which of that the readings bear.
function residue.shift(series, model)
  local first = model.at(0)
  local small = "the residual is too small against the noise to tell its colour"
  if first == 0 then return { nothing = { why = small } }, "nothing" end
  local shape, u, v = {}, {}, {}
  for i, s in ipairs(series.after) do
    if not s.u then return { nothing = { why = model.plain and "the meter gives no colour" or small } }, "nothing" end
    shape[i], u[i], v[i] = model.at((s.from + s.to) / 2) / first, s.u, s.v
  end
  local du, dv = stats.line { x = shape, y = u }, stats.line { x = shape, y = v }
  local uv = math.sqrt(du.slope ^ 2 + dv.slope ^ 2)
  local noise = math.sqrt(du.u_slope ^ 2 + dv.u_slope ^ 2)
  local all = {
    value = { uv = uv, why = "" }, ["upper limit"] = { uv = uv + 2 * noise, bound = "upper", why = "" }, nothing = { why = small },
  }
  return all, not model.plain and "nothing" or uv < 3 * noise and "upper limit" or "value"
end

return residue
