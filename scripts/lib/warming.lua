-- A series of readings of a unit that warms up, and when it has settled.
--
-- Which curve the readings follow, and whether they tell a time and a drift, is kept
-- by run.decide, since drawn readings contain their noise twice and would tell less.
local warming = {}

-- noise_of takes the noise of a series from its second differences, which a slow
-- drift hardly changes. Their variance is six times that of a reading. The median is
-- taken, so that one step, of a meter that slipped, does not decide.
local function noise_of(series)
  local size = {}
  for i = 2, #series - 1 do size[i - 1] = math.abs(series[i - 1].y - 2 * series[i].y + series[i + 1].y) end
  return stats.median(size) / 0.6745 / math.sqrt(6)
end

-- The curves that could explain the readings: a level, a straight line, a decay of one
-- term or of two. Each has its RMS residual, its number of parameters, how well it
-- knows a change from one moment to another, and whether the readings tell all its
-- parameters.
local kinds = { "level", "line", "one term", "two terms" }
local make = {}

function make.level(columns, noise)
  local n, level = #columns.y, stats.mean(columns.y)
  return {
    name = "level", found = true, numbers = 1,
    rms = stats.sd(columns.y) * math.sqrt((n - 1) / n), at = function() return level end,
    u_change = function() return noise * math.sqrt(12 / n) end, -- of a slope that stays hidden
  }
end

function make.line(columns)
  local line = stats.line { x = columns.middle, y = columns.y }
  return {
    name = "line", found = true, numbers = 2, rms = line.rms, at = function(t) return line.intercept + line.slope * t end,
    u_change = function(a, b) return line.u_slope * math.abs(b - a) end,
  }
end

for terms, name in ipairs { "one term", "two terms" } do
  make[name] = function(columns)
    local d = stats.decay { from = columns.from, to = columns.to, y = columns.y, terms = terms }
    return {
      name = name, found = d.converged, numbers = 1 + 2 * terms, rms = d.rms, at = function(t) return d:at(t) end,
      u_change = function(a, b) return d:u_change(a, b) or math.huge end,
    }
  end
end

-- curves_of gives a function that gives each curve by its name. It is fitted when it is
-- first asked for, since fits take long and a decision asks for all only once.
local function curves_of(columns, noise)
  local named = {}
  return function(name)
    named[name] = named[name] or make[name](columns, noise)
    return named[name]
  end
end

local dear, possible = 6, 12 -- cost of each parameter; a curve that costs at most so much more is possible, too

-- hidden gives how much of a quick drift at the beginning the noise may hide: by how
-- much the first few readings deviate from the curve, plus two standard errors.
local function hidden(columns, curve, noise)
  local most, sum = 0, 0
  for i = 1, 8 do
    sum = sum + columns.y[i] - curve.at(columns.middle[i])
    if i > 1 then most = math.max(most, math.abs(sum) / i + 2 * noise / math.sqrt(i)) end
  end
  return most
end

-- columns_of refuses a series that is too short.
local function columns_of(series)
  if #series < 20 then
    error(string.format("the series has %d readings; it needs 20 or more; choose a shorter period or a longer duration", #series))
  end
  local columns = { from = {}, to = {}, middle = {}, y = {} }
  for i, s in ipairs(series) do
    columns.from[i], columns.to[i], columns.middle[i], columns.y[i] = s.from, s.to, (s.from + s.to) / 2, s.y
  end
  return columns
end

warming.enough = columns_of

-- drift_of gives by how much brighter a curve is at the first reading than at the
-- last, in percent.
local function drift_of(curve, fit) return 100 * (curve.at(fit.first) / curve.at(fit.last) - 1) end

-- choose gives the curve that explains the series with the fewest parameters, and
-- those that do about as well.
local function choose(columns, curve, noise)
  local all, scatter = {}, math.huge
  for _, name in ipairs(kinds) do
    local c = curve(name)
    if c.found then
      table.insert(all, c)
      scatter = math.min(scatter, c.rms)
    end
  end
  scatter = math.max(scatter, noise)
  local best, others = nil, {}
  for _, c in ipairs(all) do
    c.cost = #columns.y * (c.rms / scatter) ^ 2 + dear * c.numbers
    if not best or c.cost < best.cost then best = c end
  end
  for _, c in ipairs(all) do
    if c ~= best and c.cost < best.cost + possible then table.insert(others, c) end
  end
  return best, others
end

-- fit fits the curve to the whole series that explains it with the fewest parameters,
-- and keeps those that do about as well. Times are from the first light.
--
-- A level has no drift; what a straight line shows of one is taken for noise. unseen
-- serves draws: it is the drift of that line through the drawn readings beyond that
-- through the readings as they were taken, so 0 for these. It is widened, since an
-- error of d beside one of u makes √(u² + d²).
function warming.fit(series)
  local columns = columns_of(series)
  local noise = noise_of(series)
  local curve = curves_of(columns, noise)
  local fit = { first = columns.from[1], last = columns.to[#series] }
  local function level_of(c) return math.abs(c.at(fit.last)) end
  local chosen = run.decide_by("course of the warm-up", function()
    local best = choose(columns, curve, noise)
    local level, line = level_of(best), drift_of(curve "line", fit)
    local u_line = 100 * curve("line").u_change(fit.first, fit.last) / level
    return {
      course = best.name, fits = best.rms <= 2 * noise + 0.0005 * level,
      unseen = best.name == "level" and u_line > 0 and { percent = line, widens = math.sqrt(1 + (line / u_line) ^ 2) } or nil,
    }
  end)
  fit.curve, fit.good = curve(chosen.course), chosen.fits
  local level = level_of(fit.curve)
  fit.unseen = chosen.unseen and chosen.unseen.widens * (drift_of(curve "line", fit) - chosen.unseen.percent) or 0
  function fit.hidden() return 100 * hidden(columns, fit.curve, noise) / level end
  function fit.others() return (select(2, choose(columns, curve, noise))) end
  fit.left = 100 * fit.curve.rms / level
  fit.why = string.format("no smooth drift fits the series: it deviates by %.2g %%, and readings scatter by %.2g %%; "
    .. "look for a step in the series, such as a meter that slipped", fit.left, 100 * noise / level)
  return fit
end

-- The largest uncertainty with which a time is stated, as a share of it, and a drift,
-- as a share of it or in points: two standard uncertainties, plus the difference to
-- other possible curves.
local share_of_time, share_of_drift, most_of_drift = 0.08, 0.06, 0.3
local share_of_within = 0.5 -- largest quick drift that noise may hide, as a share of the allowed drift

local steps_over = 60 -- parts into which the drift time is divided

-- ranges goes backwards through a list and gives the range, maximum less minimum, of
-- each number and the next so many, in percent of the last of these. Of the numbers
-- ahead it keeps only those that can still become an extreme.
local function ranges(y, more)
  local i = #y - more + 1
  local function extremes(sign)
    local at, first, last = {}, 1, 0 -- the furthest first
    return function(k)
      while last >= first and sign * y[at[last]] <= sign * y[k] do last = last - 1 end
      last = last + 1
      at[last] = k
      while at[first] > k + more do first = first + 1 end
      return y[at[first]]
    end
  end
  local highest, lowest = extremes(1), extremes(-1)
  for k = #y, i, -1 do highest(k) lowest(k) end
  return function()
    i = i - 1
    return 100 * (highest(i) - lowest(i)) / y[i + more]
  end
end

-- u_of gives the uncertainty of the moment at which the drift falls to a level: the
-- uncertainty of the drift, divided by how quickly it falls.
local function u_of(curve, from, over)
  local function drift(t) return curve.at(t + over) - curve.at(t) end
  local quick = math.abs(drift(from + over / steps_over) - drift(from)) / (over / steps_over)
  return quick > 0 and curve.u_change(from, from + over) / quick or math.huge
end

-- quiet finds the moment from which on a curve drifts no more than within, in
-- percent, in any so many seconds of the series; nil, and the drift at the end, where
-- there is none.
local function quiet(curve, last, within, over)
  local step, y = over / steps_over, {}
  for i = 0, math.floor(last / step) do y[i + 1] = curve.at(i * step) end
  local starts = #y - steps_over
  local range = ranges(y, steps_over)
  local later = range()
  if later > within then return nil, later end
  for i = starts - 1, 1, -1 do
    local drift = range()
    if drift > within then return step * (i - 1 + (drift - within) / (drift - later)) end
    later = drift
  end
  return 0
end

-- told_by gives how the moment is stated, and why it is not.
local function told_by(fit, seconds, drift, within, over)
  if not seconds then
    return "nothing", string.format("the luminance still drifted by %.2g %% in the last %g s of the series; choose a longer duration",
      drift, over)
  end
  if seconds <= fit.first then return "upper limit", "" end
  local hides = fit.hidden()
  if hides > share_of_within * within then
    return "nothing", string.format("noise may hide a quick drift of %.2g %% at the beginning, and only %g %% is allowed; "
      .. "take more repeats, or use a meter that scatters less", hides, within)
  end
  local u, apart = u_of(fit.curve, seconds, over), 0
  for _, c in ipairs(fit.others()) do apart = math.max(apart, math.abs((quiet(c, fit.last, within, over) or fit.last) - seconds)) end
  if 2 * u + apart > share_of_time * seconds then
    return "nothing", string.format("the time is known only to %.2g s of %.4g s; take more repeats, or use a meter that scatters less",
      2 * u + apart, seconds)
  end
  return "value", ""
end

-- settled finds that moment in the fitted curve, and its uncertainty. Where it was
-- before the first reading, it gives an upper limit.
function warming.settled(fit, within, over)
  if not fit.good then return { why = fit.why } end
  local seconds, drift = quiet(fit.curve, fit.last, within, over)
  local as = run.decide_by("warm-up time is stated as", function() return (told_by(fit, seconds, drift, within, over)) end)
  if as == "upper limit" then return { seconds = fit.first, bound = "upper", why = "" } end
  if as == "nothing" then
    return { why = run.text_by(function() return (select(2, told_by(fit, seconds, drift, within, over))) end) }
  end
  local function u() return u_of(fit.curve, seconds or fit.last - over, over) end
  return { seconds = seconds or fit.last, u = u, why = "" }
end

-- drift gives by how much brighter the first reading was than the last, in percent,
-- by the fit, and its uncertainty.
function warming.drift(fit)
  if not fit.good then return { why = fit.why } end
  local percent = drift_of(fit.curve, fit)
  local function u() return 100 * fit.curve.u_change(fit.first, fit.last) / math.abs(fit.curve.at(fit.last)) end
  local function known()
    local apart = 0
    for _, c in ipairs(fit.others()) do apart = math.max(apart, math.abs(drift_of(c, fit) - percent)) end
    return math.max(2 * u() + apart, fit.hidden())
  end
  if not run.decide_by("warm-up drift is stated", function()
    return known() <= math.max(most_of_drift, share_of_drift * math.abs(percent))
  end) then
    return { why = run.text_by(function()
      return string.format("the drift is known only to %.2g %% of the luminance; take more repeats, or use a meter that scatters less",
        known())
    end) }
  end
  return { percent = percent + fit.unseen, u = u, why = "" }
end

return warming
