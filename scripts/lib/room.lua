-- What a lit room does to a screen. The screen throws the room's light back, and what the unit itself
-- emits is what is left of a reading without it. The screen throws light back alike whatever it shows, and its
-- own black in the dark room is known.
local room = {}

-- What the own black adds to a reading of black; one that the meter cannot read counts as none.
local function own_black(dark) return dark.black.bound and 0 or dark.black.Y end

-- reflected is the luminance that the screen throws back at a level of the room's light, beyond that of the dark room.
function room.reflected(at, dark) return at.black.Y - own_black(dark) end

-- reflectance is the share of the illuminance E that the screen throws back, in percent, by the slope of L = R E / pi over
-- all levels (IDMS: the screen as a Lambertian reflector).
function room.reflectance(levels)
  local x, y, readings = {}, {}, {}
  for i, at in ipairs(levels) do
    x[i], y[i] = at.lux, i == 1 and own_black(at) or at.black.Y
    if not at.black.bound then table.insert(readings, at.black) end
  end
  return 100 * math.pi * stats.line { x = x, y = y }.slope, readings
end

-- emitted is the luminance of a reading without the room's light.
function room.emitted(reading, at, dark) return reading.Y - room.reflected(at, dark) end

-- exponent is that of the power function through a grey and white, of the light that the unit emits.
function room.exponent(signal, grey, at, dark)
  local share = room.emitted(grey, at, dark) / room.emitted(at.white, at, dark)
  return share > 0 and math.log(share) / math.log(signal) or nil
end

-- chromaticity is that of the light that the unit emits; nil where the meter measures luminance only.
function room.chromaticity(grey, at, dark)
  if not grey.X or not at.black.X then return nil end
  local own = dark.black.bound and { X = 0, Z = 0 } or dark.black
  local X, Z = grey.X - (at.black.X - own.X), grey.Z - (at.black.Z - own.Z)
  local Y = room.emitted(grey, at, dark)
  local sum = X + 15 * Y + 3 * Z
  if Y <= 0 or sum <= 0 then return nil end
  return { u = 4 * X / sum, v = 9 * Y / sum }
end

-- known is how well a luminance is known by its scatter, in percent.
function room.known(...)
  local sum = 0
  for _, r in ipairs { ... } do sum = sum + (100 * (r.u_Y or 0) / r.Y) ^ 2 end
  return math.sqrt(sum)
end

-- largest records the largest of some changes. One that is no larger than what the readings scatter, or the room's light
-- drifts, is stated as a limit: the largest of many noisy numbers is never 0.
function room.largest(name, unit, changes)
  local best
  for i, c in ipairs(changes) do
    if not best or math.abs(c.change) > math.abs(changes[best].change) then best = i end
  end
  best = run.decide(name .. ": level", best or 0)
  local c = changes[best]
  if not c then
    record.value { name = name, unit = unit, why = "nothing was measured that could show it" }
    return
  end
  local seen = run.decide(name .. ": is seen", math.abs(c.change) > c.limit)
  record.value {
    name = name, unit = unit, value = seen and c.change or math.max(c.limit, math.abs(c.change)),
    bound = not seen and "upper" or nil, from = c.readings,
  }
  if seen then record.note(string.format("%s: the largest is at %s.", name, c.where)) end
end

return room
