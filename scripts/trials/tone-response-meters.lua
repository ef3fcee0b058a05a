-- Meters that need care, as in window-sweep-meters. The dark level of one drifts by
-- 0.03 cd/m2, a seventh of the black, and must be measured first.
return trial {
  title     = "gamma, white and black, for every kind of meter and dark level",
  procedure = "tone-response",
  params    = { dark_level = "take" },
  worlds    = {
    ["in step with the light"] = { ["pwm.frequency"] = 75, ["pwm.duty"] = 0.5, ["pwm.depth"] = 0.6, ["meter.integration"] = 0.02 },
    ["scatters"]               = { ["meter.repeatability"] = 0.9 },
    ["dark level drifts"]      = {
      ["light.white"] = 95, ["light.hdr_peak"] = 120, ["light.black"] = 0.2,
      ["meter.dark_drift"] = 0.03, ["meter.dark_seconds"] = 7200, ["meter.floor"] = 0.05,
    },
  },
  expect = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.01 },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 1, unit = "%" },
    ["black-luminance"] = { truth = "light.black", within = 0.01, bound = "upper", bound_within = 0.005 },
  },
}
