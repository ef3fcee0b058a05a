-- A series of readings of a unit that warms, and when it has settled.
local warming = {}

-- noise of a series from its second differences, which a slow drift leaves
-- alone: their variance is six times that of a reading.
local function noise_of(series)
  local sum = 0
  for i = 2, #series - 1 do
    sum = sum + (series[i - 1].y - 2 * series[i].y + series[i + 1].y) ^ 2
  end
  return math.sqrt(sum / 6 / (#series - 2))
end

-- fit lays a decay through the whole series, of one term or, where that leaves
-- plainly less, of two. Times are from the first light.
function warming.fit(series)
  local from, to, y = {}, {}, {}
  for i, s in ipairs(series) do from[i], to[i], y[i] = s.from, s.to, s.y end
  if #series < 20 then
    error(string.format("the series has %d readings, want 20 or more: a shorter period, or a longer duration", #series))
  end
  local noise = noise_of(series)
  local best = stats.decay { from = from, to = to, y = y, terms = 1 }
  local two = stats.decay { from = from, to = to, y = y, terms = 2 }
  if #y * (best.rms ^ 2 - two.rms ^ 2) > 12 * math.max(noise, two.rms) ^ 2 then best = two end
  local last = #series
  local fit = { curve = best, first = from[1], last = to[last], left = 100 * best.rms / math.abs(best:at(to[last])) }
  fit.good = best.rms <= 2 * noise + 0.0005 * math.abs(best:at(to[last]))
  fit.why = fit.good and "" or string.format(
    "no smooth drift fits the series: %.2g %% is left, and readings scatter by %.2g %%; "
    .. "look for a step in it, such as a meter that slipped",
    fit.left, 100 * noise / math.abs(best:at(to[last])))
  return fit
end

local steps_over = 60 -- parts that the time over which drift is looked at is divided into

-- range is how far the curve reaches apart from one grid point over some more,
-- in percent of the end.
local function range(y, first)
  local low, high = y[first], y[first]
  for i = first + 1, first + steps_over do
    low, high = math.min(low, y[i]), math.max(high, y[i])
  end
  return 100 * (high - low) / y[first + steps_over]
end

-- settled finds from when on the fitted curve drifts no more than within, in
-- percent, over any so many seconds that were seen.
function warming.settled(fit, within, over)
  if not fit.good then return { why = fit.why } end
  local step = over / steps_over
  local y = {}
  for i = 0, math.floor(fit.last / step) do y[i + 1] = fit.curve:at(i * step) end
  local found = { drift = 100 * (fit.curve:at(fit.first) / y[#y] - 1), why = "" }
  local starts = #y - steps_over
  local later = range(y, starts)
  if later > within then
    found.why = string.format("it still drifted by %.2g %% over the last %g s of the series; a longer duration may show when it ends",
      later, over)
    return found
  end
  for i = starts - 1, 1, -1 do
    local drift = range(y, i)
    if drift > within then
      found.seconds = step * (i - 1 + (drift - within) / (drift - later))
      return found
    end
    later = drift
  end
  found.seconds = 0
  return found
end

local ends = 5 -- readings at each end of a series that a line is laid through

-- lost is the share of the light, in percent, that a series lost from its first
-- reading to its last, by lines through both ends.
function warming.lost(series)
  if #series < 2 * ends then
    return nil, string.format("the series has %d readings, want %d or more", #series, 2 * ends)
  end
  local function line(first)
    local x, y = {}, {}
    for i = first, first + ends - 1 do
      table.insert(x, series[i].from)
      table.insert(y, series[i].y)
    end
    return stats.line { x = x, y = y }
  end
  local head, tail = line(1), line(#series - ends + 1)
  local first = head.intercept + head.slope * series[1].from
  local last = tail.intercept + tail.slope * series[#series].to
  return 100 * (1 - last / first), ""
end

return warming
