-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Patches over 1 [patches]: number of the 24 colours whose CIEDE2000 between the unit (native primaries, white 0.306/0.322, 8-bit signal, power 2.2
--     plus black) and BT.709/2.2 with Y of white is above 1; white of the unit is the Lab white. The number is 21
--   Share over 1 [%]: the same / 24, %. The number is 87.5
--   Mean difference [dE00]: mean of those 24 CIEDE2000. The number is 2.09261
local list = {
  {0.45,0.32,0.27}, {0.76,0.58,0.51}, {0.35,0.48,0.61}, {0.34,0.42,0.26}, {0.51,0.50,0.69}, {0.39,0.74,0.67},
  {0.85,0.48,0.18}, {0.28,0.36,0.65}, {0.77,0.33,0.38}, {0.36,0.24,0.42}, {0.62,0.73,0.25}, {0.90,0.63,0.18},
  {0.22,0.24,0.58}, {0.27,0.58,0.28}, {0.69,0.19,0.22}, {0.93,0.78,0.12}, {0.73,0.34,0.58}, {0.00,0.53,0.65},
  {0.95,0.95,0.95}, {0.78,0.78,0.78}, {0.63,0.63,0.63}, {0.47,0.47,0.47}, {0.33,0.33,0.33}, {0.20,0.20,0.20} }
return procedure {
  title = "Patches over one",
  purpose = "Counts how many of 24 colours are more than one CIEDE2000 away from BT.709 with a gamma of 2.2 and the unit's own white.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    local n, sum = 0, 0
    for i, c in ipairs(list) do
      patches.show { rgb = c, window = 10 }
      local r = meter.measure {}
      local t = colour.rgb_to_xyz { r = c[1]^2.2, g = c[2]^2.2, b = c[3]^2.2, space = "bt709", white = white.Y }
      local e = colour.delta_e2000 { a = t, b = r, white = white }
      if e > 1 then n = n + 1 end
      sum = sum + e
    end
    record.value { name = "Patches over 1", value = n, unit = "patches" }
    record.value { name = "Share over 1", value = 100 * n / #list, unit = "%" }
    record.value { name = "Mean difference", value = sum / #list, unit = "dE00" }
  end,
}
