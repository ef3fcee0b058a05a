-- Where the meter can read black, contrast is a number. It is a lower limit where black
-- is below the meter's floor of 0.005 cd/m2; where black is two fifths of the floor,
-- the limit is two fifths of the contrast, and not less. Black is known to
-- 0.0007 cd/m2 by its noise and drift, so a black below the floor is not stated as a
-- number.
return trial {
  title     = "sequential contrast, or a lower limit where black is below the meter's floor",
  procedure = "contrast",
  params    = { delay = 12, lux = 500, reflectance = 4 },
  worlds    = {
    ["phone"]                = { ["light.black"] = 0.002 },
    ["phone, dusk"]          = { base = "default", mode = "Dusk", ["light.black"] = 0.2 },
    ["white subpixels"]      = { base = "fulmar-55", ["light.black"] = 0.002 },
    ["lit from behind"]      = "dunlin-27",
    ["brighter black"]       = { base = "dunlin-27", ["light.black"] = 0.4 },
    ["no noise"]             = { base = "ideal", ["light.black"] = 0.05 },
  },
  expect = {
    ["sequential-contrast"] = {
      truth = { contrast = { window = 100 } }, within = 1.5, unit = "%", bound = "lower", bound_within = 62,
    },
    ["ambient-contrast"]    = { truth = { contrast = { window = 100, lux = 500, reflectance = 4 } }, within = 1, unit = "%" },
    ["white-luminance"]     = { truth = { luminance = { window = 100 } }, within = 0.6, unit = "%" },
    ["black-luminance"]     = { truth = "light.black", within = 0.0028, bound = "upper", bound_within = 0.003 },
  },
}
