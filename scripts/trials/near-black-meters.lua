-- Meters that need care. One integrates over a mains period, which is one and a half
-- of the panel's periods, so that its readings beat with the light: without whole
-- periods each is wrong by up to a fifth, however many are taken. The dark level of
-- the other drifts by 0.03 cd/m2 from day to day, and must be measured first.
local counts = { bits = 10, least = 0.05 }

return trial {
  title     = "the first step above black, for every kind of meter and dark level",
  procedure = "near-black",
  params    = { bits = 10, threshold = 0.05, last = 20 },
  worlds    = {
    ["in step with the light"] = {
      ["tone.exponent"] = 2.155, ["tone.bits"] = 10, ["pwm.frequency"] = 75, ["pwm.duty"] = 0.5, ["pwm.depth"] = 0.6,
      ["meter.integration"] = 0.02, ["meter.integration_dark"] = 0.02, ["meter.dark_noise"] = 0.0001,
    },
    ["dark level drifts"]      = {
      ["tone.exponent"] = 2.155, ["tone.bits"] = 10, ["light.black"] = 0.1,
      ["meter.dark_drift"] = 0.03, ["meter.dark_seconds"] = 36000, ["meter.floor"] = 0.05,
    },
  },
  expect = {
    ["first-step-above-black"] = { truth = { first_code = counts }, within = 0 },
    ["crushed-steps"]              = { truth = { crush = counts }, within = 0 },
    ["black-luminance"]    = { truth = "light.black", within = 0.01, bound = "upper", bound_within = 0.005 },
  },
}
