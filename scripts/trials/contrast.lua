-- Where the meter can read black, contrast is a number; it is a lower limit
-- where black lies under the meter's floor of 0.005 cd/m2. A black of two fifths
-- of that leaves a limit of two fifths of the contrast, and not less. Black is known to
-- 0.0007 cd/m2, its noise and drift, so that the floor does not pass for a number.
return trial {
  title     = "sequential contrast, or its lower limit where black is under the meter's floor",
  procedure = "contrast",
  params    = { delay = 12, lux = 500, reflectance = 4 },
  worlds    = {
    ["phone"]                = { ["light.black"] = 0.002 },
    ["phone, calm"]          = { base = "default", mode = "Calm", ["light.black"] = 0.2 },
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
