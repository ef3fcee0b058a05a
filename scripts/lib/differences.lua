-- The targets of a chart's colours, the differences of colours from them, and by how
-- much the scatter of readings makes the mean of such differences larger.

local differences = {}

-- encode gives the signal of linear light, 0 to 1, by a target curve with a black of
-- zero.
function differences.encode(curve, exponent, light)
  if curve == "srgb" then return colour.light_to_srgb(light) end
  return light ^ (1 / (curve == "bt1886" and 2.4 or exponent))
end

-- decode gives the light of a signal by a target curve, as a share of white; black is
-- a share of white, too.
function differences.decode(curve, exponent, signal, black)
  if curve == "bt1886" then return colour.bt1886 { signal = signal, white = 1, black = black } end
  local light = curve == "srgb" and colour.srgb_to_light(signal) or signal ^ exponent
  return black + (1 - black) * light
end

-- target gives the XYZ that signals should give in a space, with white at Y = 1.
function differences.target(p, rgb, black)
  local light = {}
  for i, signal in ipairs(rgb) do light[i] = differences.decode(p.target, p.gamma, signal, black) end
  return colour.rgb_to_xyz { r = light[1], g = light[2], b = light[3], space = p.space }
end

-- scale gives the factor that brings a stimulus to the scale of white at Y = 1. Where
-- luminance does not count, it gets the luminance of the target.
local function scale(p, xyz, target, white)
  return p.luminance_counts and 1 / white.Y or target.Y / xyz.Y
end

-- scaled gives a stimulus on that scale.
function differences.scaled(p, xyz, target, white)
  local k = scale(p, xyz, target, white)
  return { X = xyz.X * k, Y = xyz.Y * k, Z = xyz.Z * k }
end

local function white_of(space) return colour.rgb_to_xyz { r = 1, g = 1, b = 1, space = space } end

-- plain copies the numbers of stimuli, since those of a reading take longer to look up
-- than those of a table.
local function plain(stimuli)
  local all = {}
  for i, xyz in ipairs(stimuli) do all[i] = { X = xyz.X, Y = xyz.Y, Z = xyz.Z } end
  return all
end

-- found_labs gives the CIELAB of stimuli, as a list. The reference white is the
-- measured one, or the white of the space where p.white is target.
local function found_labs(p, stimuli, targets, white)
  local seen = p.white == "target" and white_of(p.space) or { X = white.X / white.Y, Y = 1, Z = white.Z / white.Y }
  local numbers, of_white, at = {}, p.luminance_counts and 1 / white.Y, 0
  for i, xyz in ipairs(stimuli) do
    local k = of_white or scale(p, xyz, targets[i], white)
    numbers[at + 1], numbers[at + 2], numbers[at + 3] = xyz.X * k, xyz.Y * k, xyz.Z * k
    at = at + 3
  end
  return colour.lab(colour.triples(numbers), { white = seen })
end

-- labs gives the CIELAB of targets and of stimuli, as two lists. The reference white
-- of targets is that of the space.
function differences.labs(p, stimuli, targets, white)
  return colour.lab(colour.list(targets), { white = white_of(p.space) }), found_labs(p, plain(stimuli), targets, white)
end

-- known takes back the factor by which an uncertainty from few readings is widened,
-- so that the squares of many are right on average: 1 + 1/(2v) + 1/(4v^2) with v
-- degrees of freedom, the expansion of Student's t at one standard deviation.
local function known(u, n)
  local v = n - 1
  return u / (1 + 0.5 / v + 0.25 / v ^ 2)
end

-- moved gives a stimulus, moved along one of its coordinates Y, u' and v' (CIE 15,
-- computed here, since a builtin call of each takes longer).
local function moved(xyz, by, how_far)
  local sum = xyz.X + 15 * xyz.Y + 3 * xyz.Z
  local Y, u, v = xyz.Y, 4 * xyz.X / sum, 9 * xyz.Y / sum
  if by == "Y" then Y = Y + how_far elseif by == "u" then u = u + how_far else v = v + how_far end
  local by_v = Y / (4 * v)
  return { X = 9 * u * by_v, Y = Y, Z = (12 - 3 * u - 20 * v) * by_v }
end

-- mean_of gives the mean of readings, and the squares of how far scatter moves it.
local function mean_of(readings)
  local mean, squares = { X = 0, Y = 0, Z = 0 }, { Y = 0, u = 0, v = 0 }
  for _, r in ipairs(readings) do
    for k in pairs(mean) do mean[k] = mean[k] + r[k] / #readings end
    for k in pairs(squares) do squares[k] = squares[k] + (known(r["u_" .. k], r.n) / #readings) ^ 2 end
  end
  return mean, squares
end

-- scatter gives for each reading the square of the distance by which noise
-- moves it, in CIEDE2000: the sum over luminance, u' and v', of its own and of
-- the whites, by first order. It is nil where a reading was single, or too
-- dark to have a colour.
function differences.scatter(p, readings, targets, whites)
  for _, list in ipairs { readings, whites } do
    for _, r in ipairs(list) do
      if r.n < 2 or not r.u_u then return nil end
    end
  end
  local white, of_white = mean_of(whites)
  local stimuli, squares = plain(readings), {}
  local labs = found_labs(p, stimuli, targets, white)
  local function add(list, seen_against)
    local there = found_labs(p, list, targets, seen_against)
    for i, d in ipairs(colour.delta_e2000 { a = labs, b = there }) do squares[i] = (squares[i] or 0) + d * d end
  end
  for _, by in ipairs(p.luminance_counts and { "Y", "u", "v" } or { "u", "v" }) do
    local there = {}
    for i, r in ipairs(readings) do there[i] = moved(stimuli[i], by, known(r["u_" .. by], r.n)) end
    add(there, white)
    add(stimuli, moved(white, by, math.sqrt(of_white[by])))
  end
  return squares
end

-- bias estimates by how much noise makes the mean of differences larger. The true
-- differences around a colour are assumed to have any direction, with a standard
-- deviation of t in each coordinate; noise has s. By Maxwell's distribution the mean
-- length of a measured difference is
--
--   2 sqrt(2/pi) sqrt(t^2 + s^2)
--
-- and that of a true one is the same with t alone. 3 (t^2 + s^2) is the mean square
-- of the measured differences around the colour, each weighted by
-- exp(-(distance/30)^2) of its distance in CIELAB, since one difference says too
-- little. On seven simulated benches, with dim displays, noisy meters and a filter
-- colorimeter, the estimate was within a quarter of what noise truly added, wherever
-- that could be told from zero (model of our own).
function differences.bias(found, squares, labs)
  local L, a, b, found_squares, lifts = {}, {}, {}, {}, {}
  for i, c in ipairs(labs) do
    L[i], a[i], b[i], found_squares[i] = c.L, c.a, c.b, found[i] ^ 2
  end
  local function around(values) return stats.kernel_mean { x = L, y = a, z = b, values = values, width = 30 } end
  local square, noise = around(found_squares), around(squares)
  for i in ipairs(found) do
    lifts[i] = 2 * math.sqrt(2 / math.pi) * (math.sqrt(square[i] / 3) - math.sqrt(math.max(0, square[i] - noise[i]) / 3))
  end
  return stats.mean(lifts)
end

return differences
