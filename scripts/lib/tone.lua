-- What a tone response is compared with, and which of its steps say something
-- about the exponent.

local tone = {}

-- target gives the luminance that a signal should have between the measured
-- black and white.
function tone.target(name, exponent, signal, white, black)
  if name == "bt1886" then
    return colour.bt1886 { signal = signal, white = white, black = black }
  end
  local light = name == "srgb" and colour.srgb_to_light(signal) or signal ^ exponent
  return black + (white - black) * light
end

-- background gives the signal around a window that keeps the mean light of the
-- whole screen what it is for a white window on black.
function tone.background(signal, window, exponent)
  local share = window / 100
  if share >= 1 then return 0 end
  local light = share * (1 - signal ^ exponent) / (1 - share)
  return math.min(1, light) ^ (1 / exponent)
end

-- exclude names, for each step, why it says nothing about the exponent; steps
-- that do are left alone. Steps are { signal, Y, u, limited } in rising order.
function tone.exclude(steps, black, floor)
  for _, s in ipairs(steps) do
    if s.reading and s.reading.flags.saturated then s.excluded = "the meter was saturated" end
  end
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

-- gamma fits ln(Y - black) against ln(signal) over the steps that are not
-- excluded, each weighted by how well it is known. A step is never known
-- better than 0.2 %, the steps of an 8-bit signal being what they are.
function tone.gamma(steps, black)
  local x, y, weights = {}, {}, {}
  for _, s in ipairs(steps) do
    if not s.excluded then
      local net = s.Y - black
      table.insert(x, math.log(s.signal))
      table.insert(y, math.log(net))
      table.insert(weights, 1 / (((s.u or 0) / net) ^ 2 + 0.002 ^ 2))
    end
  end
  if #x < 3 then return nil end
  return stats.line { x = x, y = y, weights = weights }
end

return tone
