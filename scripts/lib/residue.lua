-- What a stress leaves behind: from readings of a stressed and of a control place to
-- a residual, its decay and its colour.
--
-- What the readings choose (a line or a decay, how many terms) is kept by run.decide,
-- since drawn readings contain their noise twice and would choose less well.
local decays = require "decays"

local residue = {}

local function middle(r) return (r.began + r.ended) / 2 end

-- courses gives the courses over time that one number of some readings may have, a
-- line and a decay, and says which of them the readings follow: the decay where it fits
-- clearly better, as with a panel that is still warming up. It gives nil where a reading
-- lacks that number.
local function courses(readings, field)
  local x, from, to, y, scatter = {}, {}, {}, {}, 0
  for i, r in ipairs(readings) do
    if r[field] == nil then return nil end
    x[i], from[i], to[i], y[i] = middle(r), r.began, r.ended, r[field]
    scatter = scatter + (r["u_" .. field] or 0) ^ 2 / #readings
  end
  local all = {}
  function all.line()
    local line = stats.line { x = x, y = y }
    return { at = function(t) return line.intercept + line.slope * t end, left = line.rms }
  end
  function all.decay()
    local d = stats.decay { from = from, to = to, y = y }
    return { at = function(t) return d:at(t) end, left = d.rms, found = d.converged }
  end
  function all.follows()
    if #readings <= 5 then return "line" end
    local line, d = all.line(), all.decay()
    return d.found and #y * (line.left ^ 2 - d.left ^ 2) > 12 * math.max(d.left ^ 2, scatter) and "decay" or "line"
  end
  return all
end

local function joined(a, b)
  local all = {}
  for _, r in ipairs(a) do table.insert(all, r) end
  for _, r in ipairs(b) do table.insert(all, r) end
  return all
end

-- offset_of gives the mean difference, or ratio, of a place to the reference place
-- before the stress.
local function offset_of(before, at, field, against)
  local list = {}
  for i, r in ipairs(before) do list[i] = against(r[field], at(middle(r))) end
  return stats.mean(list)
end

local function ratio(a, b) return a / b end
local function difference(a, b) return a - b end

-- against gives by how much each reading after the stress differs from before,
-- relative to what the reference place shows at that time.
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
  -- The uncertainty of the zero: from all single readings before, and from how the
  -- readings of the reference place scatter about their curve.
  local single, n = 0, 0
  for _, r in ipairs(before.place) do
    single, n = single + r.n * (r.u_Y or 0) ^ 2, n + r.n
  end
  local place_u = math.sqrt(single / #before.place / n) / Y.at(middle(before.place[1]))
  out.u_zero = 100 * math.sqrt(2 * place_u ^ 2 + (Y.left / Y.at(lit)) ^ 2 / (#before.reference + #after.reference))
  return out
end

-- series gives for each measurement, by its name, by how much the readings after the
-- stress differ from before.
function residue.series(measured)
  local laid = {}
  for name, read in pairs(measured) do
    local visits = joined(read.before.reference, read.after.reference)
    laid[name] = {}
    for _, field in ipairs { "Y", "u", "v" } do laid[name][field] = courses(visits, field) end
  end
  local follow = run.decide_by("course of the visits to the other place", function()
    local all = {}
    for name, fields in pairs(laid) do
      all[name] = {}
      for field, c in pairs(fields) do all[name][field] = c.follows() end
    end
    return all
  end)
  local all = {}
  for name, read in pairs(measured) do
    local function of(field)
      local c = laid[name][field]
      return c and c[follow[name][field] or c.follows()]()
    end
    all[name] = against(read, of "Y", of "u", of "v")
  end
  return all
end

-- double gives the signal of about twice the luminance.
function residue.double(grey, signal)
  if signal == "pq" then return colour.luminance_to_pq(2 * colour.pq_to_luminance(grey)) end
  return math.min(1, grey * 2 ^ (1 / 2.2))
end

-- quick_of gives the places of a decay's quick terms that are clearly above the noise.
local function quick_of(c, long)
  local places = {}
  for i, term in ipairs(c.terms) do
    if term.tau < long and decays.plain(term) then table.insert(places, i) end
  end
  return places
end

-- answer gives the response of an unstressed place to the change of picture. It is
-- mostly power limiting that recovers: the quick terms of a decay that are clearly
-- above the noise. What is left, such as heat of the panel, is small and slow: one
-- term with a time constant of a fifth of the duration, a minute at most.
function residue.answer(series, watch)
  local off, long = {}, math.min(watch / 5, 60)
  local fits = decays.fits(series, 0)
  local chosen = run.decide_by("answer of the control place", function()
    local best = fits.best()
    return { decay = best.name, quick = quick_of(best, long) }
  end)
  local c = fits.follow(chosen.decay)
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
    -- standard uncertainty of the slow part in %; the quick parts are over at the
    -- first reading that is kept
    u = function(t) return u_slow * math.exp(-t / long) end,
    said = string.format("The luminance of an unstressed place changed by %.3f %% with the change of picture, which is subtracted.",
        decays.sum(off, 0)),
  }
end

-- take_off subtracts that response from the residual of the stressed place. It leaves
-- out readings while the response changes by more than their noise within twice the
-- uncertainty of the moment of light, and gives how many it left out.
function residue.take_off(series, answer)
  local noise, kept = decays.noise(series.after), {}
  for _, s in ipairs(series.after) do s.residual = s.residual - answer.mean(s.from, s.to) end
  local out = run.decide_by("readings left out, by their place", function()
    local all = {}
    for i, s in ipairs(series.after) do
      if math.abs(answer.slope(s.from)) * 2 * series.lit_within > noise then table.insert(all, i) end
    end
    return all
  end)
  local left_out = {}
  for _, i in ipairs(out) do left_out[i] = true end
  for i, s in ipairs(series.after) do
    if not left_out[i] then table.insert(kept, s) end
  end
  series.after = kept
  return #out
end

-- known_zero gives the uncertainty of the zero, from the readings before and from
-- where the decay itself ends.
local function known_zero(all, terms, u_zero)
  for _, c in ipairs(all) do
    if not c.fixed and c.decay and #c.terms == terms and c.decay.u_offset then
      return 1 / math.sqrt(1 / u_zero ^ 2 + 1 / c.decay.u_offset ^ 2)
    end
  end
  return u_zero
end

-- ends_beside says that a fit ends clearly beside zero.
local function ends_beside(c, series) return math.abs(c.offset) > 3 * series.u_zero end

-- course makes a curve of a fit: the residual at a moment, and its uncertainty there
-- from the fit, from the zero and from the response that was subtracted. An end that
-- may be zero counts as zero.
local function course(c, fits, series, answer, beside)
  local stays = beside and c.offset or 0
  local made, terms, zero = { stays = stays }, decays.numbers(c.terms), nil
  function made.at(t) return stays + decays.sum(terms, t) end
  function made.u(t)
    local fit = c.noise / math.sqrt(c.n)
    if c.decay and not c.fixed and stays == 0 then
      fit, zero = c.decay:u_change(t, 1e9) or math.huge, 0
    elseif c.decay then
      fit = c.decay:u_at(t) or math.huge
    end
    zero = zero or known_zero(fits.all(), #c.terms, series.u_zero)
    return math.sqrt(fit ^ 2 + zero ^ 2 + answer.u(t) ^ 2)
  end
  return made
end

-- possible says that a fit explains the readings nearly as well as the best one, with
-- no more parameters than that or than two terms, and that none of its terms is over
-- within a few readings.
local function possible(c, best, series)
  local first = series.after[1]
  for _, term in ipairs(c.terms) do
    if term.tau < 3 * (first.to - first.from) then return false end
  end
  return c ~= best and c.numbers <= math.max(4, best.numbers) and c.squares + 4 * c.numbers < best.squares + 4 * best.numbers + 10
end

-- hidden_by serves draws where no decay was found: it gives how much of a slow decay
-- the readings show by noise and by the error of the zero, and the factor by which the
-- uncertainty grows when none is stated: an error of h beside one of u makes
-- √(u² + h²).
local function hidden_by(series, answer)
  local percent, u = decays.share(series.after, {}, answer.long)
  local all = u ^ 2 + series.u_zero ^ 2 + answer.u(0) ^ 2
  return { percent = percent, widens = math.sqrt(1 + percent ^ 2 / all) }
end

-- fit gives the curve of the residual, and others that are possible, too. Where no
-- decay was found, hidden is what drawn readings show more of one than the readings as
-- they were taken, so 0 for these.
function residue.fit(series, answer)
  local fits = decays.fits(series, 1)
  local chosen = run.decide_by("decay of the residual", function()
    local best = fits.best()
    local stays = ends_beside(best, series)
    return { decay = best.name, stays = stays, hidden = #best.terms == 0 and not stays and hidden_by(series, answer) or nil }
  end)
  local best = fits.follow(chosen.decay)
  local model = course(best, fits, series, answer, chosen.stays)
  model.terms, model.plain, model.hidden = best.terms, false, 0
  if chosen.hidden then
    model.hidden = chosen.hidden.widens * (hidden_by(series, answer).percent - chosen.hidden.percent)
  end
  local others
  function model.others()
    if others then return others end
    others = {}
    for _, c in ipairs(fits.all()) do
      if possible(c, best, series) then table.insert(others, course(c, fits, series, answer, ends_beside(c, series))) end
    end
    return others
  end
  for _, term in ipairs(best.terms) do model.plain = model.plain or decays.plain(term) end
  model.said = string.format("The decay was fitted with %s%s. Readings scatter by %.3f %%. The difference of the two "
    .. "places before the stress is known to %.3f %% (standard uncertainty).", #best.terms == 1 and "1 term" or #best.terms .. " terms",
    model.stays ~= 0 and string.format(" and a constant of %.3f %%, which lasts longer than the readings", model.stays) or "",
    best.noise, series.u_zero)
  return model
end

-- shift states the distance in u'v' by which the colour is moved at the end of the
-- stress, as package fading states what it finds. The differences in u' and v' follow
-- the curve of the luminance's residual, so each is fitted as a line over it. A small
-- distance is stated as an upper limit, since noise makes every distance larger.
function residue.shift(series, model)
  local first = model.at(0)
  local small = "the residual is too small, compared with the noise, to measure its colour"
  local function nothing(why)
    return { bears = function() return "nothing" end, state = function() return { why = why } end }
  end
  if first == 0 then return nothing(small) end
  local shape, u, v = {}, {}, {}
  for i, s in ipairs(series.after) do
    if not s.u then return nothing(model.plain and "this meter measures luminance only, no colour" or small) end
    shape[i], u[i], v[i] = model.at((s.from + s.to) / 2) / first, s.u, s.v
  end
  local du, dv = stats.line { x = shape, y = u }, stats.line { x = shape, y = v }
  local uv = math.sqrt(du.slope ^ 2 + dv.slope ^ 2)
  local noise = math.sqrt(du.u_slope ^ 2 + dv.u_slope ^ 2)
  return {
    bears = function() return not model.plain and "nothing" or uv < 3 * noise and "upper limit" or "value" end,
    state = function(what)
      if what == "value" then return { uv = uv, why = "" } end
      if what == "upper limit" then return { uv = uv + 2 * noise, bound = "upper", why = "" } end
      return { why = small }
    end,
  }
end

return residue
