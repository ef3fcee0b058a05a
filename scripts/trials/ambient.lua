-- The room is lit by a lamp of 800 lx, of which the screen reflects 4.5 %, so black reads 11.46 cd/m2 there (L = R E / pi).
-- Automatic brightness follows the unit's own sensor, which the meter shades by 30 %: 420 lx of 600.
-- "reluctant" follows a change of the room only beyond a factor of 2.5. Up, at 50 % of the lamp, it still goes by 25 % (105 lx at
-- the sensor), down it goes by 100 % (420 lx). Its curve gives 0.77875 and 0.89125 of full light there, so down is 14.45 % above up.
local on = { ["Automatic brightness"] = "on", Brightness = 100 }
local exact = { ["rig.lux_scale"] = 0, ["rig.lux_zero"] = 0 }
local function world(base, edits)
  local w = { base = base }
  for _, all in ipairs { exact, edits } do
    for name, value in pairs(all) do w[name] = value end
  end
  return w
end

return trial {
  title     = "what a lit room leaves of contrast, and what automatic brightness does, up and down",
  procedure = "ambient",
  params    = { levels = { 0, 25, 50, 100 }, longest_settling = 0, delay = 4 },
  worlds    = {
    ["phone"]      = world("default", {}),
    ["reluctant"]  = world("default", { ["adaptive.hysteresis"] = 150 }),
    ["mirror-like"] = world("default", { ["room.reflectance"] = 1.5, ["light.black"] = 0.05 }),
    ["lit from behind"] = world("default", { ["light.black"] = 0.4, ["light.white"] = 350 }),
  },
  expect = {
    ["reflectance"] = { truth = "room.reflectance", within = 2, unit = "%" },
    ["highest-illuminance"] = { truth = 800, within = 1.5, unit = "%" },
    ["ambient-contrast-automatic-brightness-off"] = {
      truths = {
        ["phone"]           = { contrast = { window = 10, lux = 800, reflectance = 4.5 } },
        ["reluctant"]       = { contrast = { window = 10, lux = 800, reflectance = 4.5 } },
        ["mirror-like"]     = { contrast = { window = 10, lux = 800, reflectance = 1.5 } },
        ["lit from behind"] = { contrast = { window = 10, lux = 800, reflectance = 4.5 } },
      }, within = 2, unit = "%",
    },
    ["luminance-in-the-dark-automatic-brightness-on"] = {
      truth = { luminance = { window = 10, settings = on } }, within = 1, unit = "%",
    },
    ["difference-between-down-and-up"] = {
      truths = { ["phone"] = 0, ["reluctant"] = 14.45, ["mirror-like"] = 0, ["lit from behind"] = 0 },
      within = 0.7, bound = "upper", bound_within = 1,
    },
    ["change-by-the-room-automatic-brightness-off"] = { truth = 0, within = 0.6, bound = "upper", bound_within = 1 },
    ["change-of-tone"] = { truth = 0, within = 0.02, bound = "upper", bound_within = 0.03 },
    ["change-of-grey"] = { truth = 0, within = 0.0015, bound = "upper", bound_within = 0.0015 },
  },
  seeds = 10,
}
