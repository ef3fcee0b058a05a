-- How much luminance a bright picture loses while it is shown: by the curve that
-- fits a series of readings, from the first light of the picture to its end. Which
-- curve that is, and whether it tells the loss, is kept by run.decide, since drawn
-- readings contain their noise twice and would tell less.
local heating = {}

-- noise_of takes the noise of the readings from second differences, which a smooth
-- curve hardly changes. Their variance is six times that of a reading. The median is
-- taken, so that one bad reading does not decide.
local function noise_of(series)
  local size = {}
  for i = 2, #series - 1 do size[i - 1] = math.abs(series[i - 1].y - 2 * series[i].y + series[i + 1].y) end
  return stats.median(size) / 0.6745 / math.sqrt(6)
end

local function part(series, first, last)
  local p = { from = {}, to = {}, middle = {}, y = {} }
  for i = first, last do
    local s = series[i]
    table.insert(p.from, s.from)
    table.insert(p.to, s.to)
    table.insert(p.middle, (s.from + s.to) / 2)
    table.insert(p.y, s.y)
  end
  return p
end

-- unchanged adds the curve of no loss.
local function unchanged(add, p)
  local mean, rms = stats.mean(p.y), 0
  for _, y in ipairs(p.y) do rms = rms + (y - mean) ^ 2 end
  add { name = "level", squares = rms, numbers = 1, first = mean, last = mean, u = 0 }
end

-- straight adds the curve of a loss at a constant rate.
local function straight(add, p, seconds, noise)
  local line = stats.line { x = p.middle, y = p.y }
  add {
    name = "line", squares = line.rms ^ 2 * #p.y, numbers = 2, first = line.intercept, last = line.intercept + line.slope * seconds,
    u = seconds * noise / (stats.sd(p.middle) * math.sqrt(#p.y - 1)),
  }
end

-- slow says that the first term does not end within a few readings: heat takes
-- longer, and such a term would be a step.
local function slow(d, from)
  return d.terms[1].tau > 3 * (from[2] - from[1])
end

local terms_of = { ["one term"] = 1, ["two terms"] = 2 }

-- smooth adds a curve of a loss that slows down from the first light on.
local function smooth(add, p, seconds, name)
  local terms = terms_of[name]
  local d = stats.decay { from = p.from, to = p.to, y = p.y, terms = terms }
  add {
    name = name, hazy = not (d.converged and slow(d, p.from)), squares = d.rms ^ 2 * #p.y, numbers = 1 + 2 * terms,
    first = d:at(0), last = d:at(seconds), u = d:u_change(0, seconds),
  }
end

local least_of_decay = 8 -- readings

-- joins says that a decay begins at a level, between two moments. One that does not
-- would be a step.
local function joins(decay, level, from, to, margin)
  local a, b = decay:at(from), decay:at(to)
  return level > math.min(a, b) - margin and level < math.max(a, b) + margin
end

-- tails gives, by their first reading, the ends of a series and their fits. Each is made once.
local function tails(series)
  local made = {}
  return function(first)
    if not made[first] then
      local tail = part(series, first, #series)
      tail.fit = stats.decay { from = tail.from, to = tail.to, y = tail.y }
      made[first] = tail
    end
    return made[first]
  end
end

-- late adds the curves of a loss that begins only when the panel is hot.
local function late(add, series, skip, seconds, noise, tail_from)
  for k = skip + 3, #series - least_of_decay do
    local head, tail = part(series, skip + 1, k), tail_from(k + 1)
    local mean, squares = stats.mean(head.y), 0
    for _, y in ipairs(head.y) do squares = squares + (y - mean) ^ 2 end
    local d = tail.fit
    if d.converged and slow(d, tail.from) and joins(d, mean, head.to[#head.to], tail.from[1], 4 * noise) then
      local u = d:u_at(seconds)
      add {
        name = "level, then one term", squares = squares + d.rms ^ 2 * #tail.y, numbers = 5, first = mean, last = d:at(seconds),
        u = u and math.sqrt(u ^ 2 + noise ^ 2 / #head.y),
      }
    end
  end
end

-- courses gives the curves that could explain the readings, each with its cost: its
-- sum of squares in units of the noise, plus four for each parameter. Power limiting
-- may not have settled at the first reading, which can be left out for the price of
-- one more parameter. A curve is hazy where the readings do not tell all its
-- parameters. With a name and what is left out, it gives only the curves of these.
local function courses(series, seconds, noise, name, left_out)
  local all, hazy, tail_from = {}, {}, tails(series)
  local function wants(of) return not name or of == name end
  for skip = left_out or 0, left_out or 1 do
    local function add(c)
      c.numbers, c.skip = c.numbers + skip, skip
      c.cost = c.squares / noise ^ 2 + 4 * c.numbers
      c.lost = 100 * (1 - c.last / c.first)
      c.u = c.u and 100 * c.u / math.abs(c.first)
      if c.first > 0 then table.insert(c.u and not c.hazy and all or hazy, c) end
    end
    local p = part(series, skip + 1, #series)
    if wants "level" then unchanged(add, p) end
    if wants "line" then straight(add, p, seconds, noise) end
    if wants "one term" then smooth(add, p, seconds, "one term") end
    if wants "two terms" then smooth(add, p, seconds, "two terms") end
    if wants "level, then one term" then late(add, series, skip, seconds, noise, tail_from) end
  end
  return all, hazy
end

-- cheapest gives the curve of the lowest cost.
local function cheapest(all)
  local best
  for _, c in ipairs(all) do
    if not best or c.cost < best.cost then best = c end
  end
  return best
end

local least = 15          -- readings
local alike = 4           -- a curve that costs at most so much more is possible, too
local most, share = 0.5, 0.03 -- largest uncertainty of a loss that is stated: in points, or as a share of it

-- unseen_by serves draws where no loss was found: it is the loss of a straight line
-- through the drawn readings beyond that through the readings as they were taken, so
-- 0 for these. It is widened, since an error of d beside one of u makes √(u² + d²).
local function unseen_by(series, seconds, noise, chosen)
  local line = chosen.unseen and cheapest((courses(series, seconds, noise, "line", chosen.left_out)))
  return line and chosen.unseen.widens * (line.lost - chosen.unseen.percent) or 0
end

-- choice gives which curve explains the readings, and whether it tells the loss.
local function choice(series, seconds, noise, level, all, range)
  local best = cheapest(all)
  local low, high = range(best)
  local line = cheapest((courses(series, seconds, noise, "line", best.skip)))
  return {
    course = best.name, left_out = best.skip,
    fits = math.sqrt(best.squares / #series) <= 2 * noise + 0.0005 * math.abs(level),
    told = math.max(high - best.lost, best.lost - low) <= math.max(most, share * math.abs(best.lost)),
    unseen = best.name == "level" and { percent = line.lost, widens = math.sqrt(1 + (line.lost / line.u) ^ 2) } or nil,
  }
end

-- lost gives the share of the luminance, in percent, that a series lost in so many
-- seconds from the first light on. range gives how well that is known: what the
-- curves that fit about as well give, with two standard errors of each. lost is nil
-- where that range is too wide, and where no curve fits the readings.
function heating.lost(series, seconds)
  if #series < least then
    return { why = string.format("the series has %d readings; it needs %d or more; choose a shorter period or a longer white_for",
      #series, least) }
  end
  local level = series[#series].y
  local noise = math.max(noise_of(series), 0.0002 * math.abs(level))
  local every
  local function all() -- takes long
    every = every or courses(series, seconds, noise)
    return every
  end
  local function range(best)
    best = best or cheapest(all())
    local low, high = best.lost, best.lost
    for _, c in ipairs(all()) do
      if c.cost < best.cost + alike then low, high = math.min(low, c.lost - 2 * c.u), math.max(high, c.lost + 2 * c.u) end
    end
    return low, high
  end
  local chosen = run.decide_by("course of the bright picture", function()
    return choice(series, seconds, noise, level, all(), range)
  end)
  if not chosen.fits then
    return { why = run.text_by(function()
      return string.format("no smooth loss fits the series: it deviates by %.2g %%, and readings scatter by %.2g %%; "
        .. "look for a step in the series, such as a meter that slipped",
        100 * math.sqrt(cheapest(all()).squares / #series) / level, 100 * noise / level)
    end) }
  end
  if not chosen.told then
    return { why = run.text_by(function()
      return string.format("curves that fit the readings give %.2f to %.2f %%; take more repeats or choose a shorter period", range())
    end) }
  end
  local found, hazy = courses(series, seconds, noise, chosen.course, chosen.left_out)
  local c = cheapest(found) or cheapest(hazy) or cheapest(all())
  return { lost = c.lost + unseen_by(series, seconds, noise, chosen), range = range, why = "" }
end

return heating
