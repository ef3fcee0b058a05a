-- What a tone response is compared with, and which of its steps count for the gamma.

local tone = {}

-- target gives the luminance that a signal should have, between the measured black
-- and white.
function tone.target(name, exponent, signal, white, black)
  if name == "bt1886" then
    return colour.bt1886 { signal = signal, white = white, black = black }
  end
  local light = name == "srgb" and colour.srgb_to_light(signal) or signal ^ exponent
  return black + (white - black) * light
end

-- background gives the signal around a window that keeps the mean light of the whole
-- screen as it is with a white window on black.
function tone.background(signal, window, exponent)
  local share = window / 100
  if share >= 1 then return 0 end
  local light = share * (1 - signal ^ exponent) / (1 - share)
  return math.min(1, light) ^ (1 / exponent)
end

-- exclude says of each step that cannot count for the gamma why that is so. Steps
-- are { signal, Y, u, doubt, limited } in rising order.
function tone.exclude(steps, black, floor)
  for _, s in ipairs(steps) do s.excluded = s.doubt end
  local white = steps[#steps]
  local clipped = false
  for i = #steps - 1, 1, -1 do
    local s = steps[i]
    local noise = 3 * math.sqrt((s.u or 0) ^ 2 + (white.u or 0) ^ 2)
    if s.Y < white.Y - math.max(0.003 * white.Y, noise) then break end
    if not s.excluded then s.excluded, clipped = "clipped", true end
  end
  if clipped and not white.excluded then white.excluded = "clipped" end

  for _, s in ipairs(steps) do
    local net = s.Y - black
    local open = not s.excluded
    if s.signal == 0 then
      s.excluded = "black"
    elseif open and (net <= 0 or s.Y < 10 * floor or net < 10 * (s.u or 0)) then
      s.excluded = "near the meter's floor"
    elseif open and s.limited then
      s.excluded = "power-limited"
    end
  end
end

-- line_with fits a straight line through points: lists of x, y and square, the
-- squared uncertainty of y. misfit is added to every square.
local function line_with(points, misfit)
  local x, y, weights = points.x, points.y, {}
  for i, square in ipairs(points.square) do weights[i] = 1 / (square + misfit) end
  local line = stats.line { x = x, y = y, weights = weights }
  local intercept, slope, chi = line.intercept, line.slope, 0
  for i, weight in ipairs(weights) do
    chi = chi + weight * (y[i] - intercept - slope * x[i]) ^ 2
  end
  return line, chi
end

-- fitted adds the same misfit to all points, just enough for the sum of squares to
-- equal the number of degrees of freedom (Mandel and Paule). Points of a straight
-- line need none and keep the weights of their noise. Where the curve is no power
-- function, the misfit is far above noise and the weights become alike: the gamma
-- must not depend on which steps scattered little by chance.
--
-- Source: J. Mandel and R. Paule, Interlaboratory evaluation of a material with
-- unequal numbers of replicates, Anal. Chem. 42 (1970) 1194.
local function fitted(points)
  local wanted = #points.x - 2
  local line, chi = line_with(points, 0)
  if chi <= wanted then return line, 0 end
  local low, high = 0, 1e-6
  while select(2, line_with(points, high)) > wanted do low, high = high, 4 * high end
  for _ = 1, 30 do
    local middle = (low + high) / 2
    if select(2, line_with(points, middle)) > wanted then low = middle else high = middle end
  end
  return (line_with(points, high)), math.sqrt(high)
end

-- gamma fits ln(Y - black) against ln(signal) over the steps that are not excluded.
-- No step counts as known better than 0.2 %, since an 8-bit signal has coarse steps.
-- It gives the line, and by how much the steps deviate from it beyond their noise,
-- as a share of the luminance.
function tone.gamma(steps, black)
  local x, y, square = {}, {}, {}
  for _, s in ipairs(steps) do
    if not s.excluded then
      local net, i = s.Y - black, #x + 1
      x[i], y[i], square[i] = math.log(s.signal), math.log(net), ((s.u or 0) / net) ^ 2 + 0.002 ^ 2
    end
  end
  if #x < 3 then return nil end
  return fitted { x = x, y = y, square = square }
end

return tone
