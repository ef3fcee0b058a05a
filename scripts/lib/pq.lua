-- Signals of ST 2084 (PQ) with BT.2020 primaries.
local pq = {}

-- coded rounds a signal to the codes of a bit depth, in full range.
function pq.coded(signal, bits)
  local codes = 2 ^ bits - 1
  return math.floor(signal * codes + 0.5) / codes
end

-- p3 gives the signals of a colour of P3, rounded to codes. linear is the colour's linear light; white is to have the luminance level.
function pq.p3(linear, level, bits)
  local xyz = colour.rgb_to_xyz { r = linear[1], g = linear[2], b = linear[3], space = "p3-d65", white = level }
  local wide = colour.xyz_to_rgb(xyz, { space = "bt2020", white = level })
  local rgb = {}
  for i, share in ipairs { wide.r, wide.g, wide.b } do
    rgb[i] = pq.coded(colour.luminance_to_pq(level * math.max(0, share)), bits)
  end
  return rgb
end

-- target gives the XYZ that signals stand for, and the luminance of the brightest of their primaries.
function pq.target(rgb, level)
  local light = {}
  for i, signal in ipairs(rgb) do light[i] = signal > 0 and colour.pq_to_luminance(signal) or 0 end
  local target = colour.rgb_to_xyz { r = light[1] / level, g = light[2] / level, b = light[3] / level, space = "bt2020", white = level }
  return target, math.max(light[1], light[2], light[3])
end

return pq
