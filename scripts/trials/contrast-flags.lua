-- A white that saturates the meter makes the contrast a lower limit. A white that has
-- not settled gives no contrast.
return trial {
  title     = "a lower limit, or no contrast, where white cannot be read",
  procedure = "contrast",
  params    = { window = 100, lux = 200 },
  worlds    = {
    ["saturated"]                  = { ["light.black"] = 0.3, ["meter.saturation"] = 300 },
    ["saturated, dark black"]      = { ["light.black"] = 0.003, ["meter.saturation"] = 300 },
    ["settles in 8 s"]             = { ["light.black"] = 0.3, ["limit.seconds"] = 8 },
    ["settles in 200 s"]           = { ["light.black"] = 0.3, ["limit.seconds"] = 200 },
    ["black at the meter's floor"] = { ["light.black"] = 0.0052 },
  },
  expect = {
    ["sequential-contrast"] = {
      truth = { contrast = { window = 100 } }, within = 10, unit = "%", bound = "lower", bound_within = 75, or_not_evaluated = true,
    },
    ["ambient-contrast"]    = {
      truth = { contrast = { window = 100, lux = 200, reflectance = 4 } }, within = 1, unit = "%", bound = "lower", bound_within = 30,
      or_not_evaluated = true,
    },
    ["white-luminance"]     = {
      truth = { luminance = { window = 100 } }, within = 0.6, unit = "%", bound = "lower", bound_within = 30, or_not_evaluated = true,
    },
    ["black-luminance"]     = { truth = "light.black", within = 0.003, bound = "upper", bound_within = 0.01 },
  },
}
