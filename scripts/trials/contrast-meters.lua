-- Meters that need care. One integrates over a mains period, which is one and a half
-- of the panel's periods, so that its readings beat with the light: without whole
-- periods each is wrong by up to a fifth, however many are taken. The dark level of
-- another drifts by 0.03 cd/m2, a twentieth of the black, and must be measured first.
-- One scatters by 1.5 %, and is read until the mean is known.
return trial {
  title     = "sequential contrast, for every kind of meter and dark level",
  procedure = "contrast",
  params    = { window = 10, delay = 12, dark_level = "take" },
  worlds    = {
    ["in step with the light"] = {
      ["light.black"] = 0.6, ["pwm.frequency"] = 75, ["pwm.duty"] = 0.5, ["pwm.depth"] = 0.6,
      ["meter.integration"] = 0.02, ["meter.dark_noise"] = 0.001,
    },
    ["dark level drifts"]      = { ["light.black"] = 0.6, ["meter.dark_drift"] = 0.03, ["meter.floor"] = 0.05 },
    ["scatters"]               = { ["light.black"] = 0.6, ["meter.repeatability"] = 1.5 },
    ["limits late"]            = {
      ["light.black"] = 0.6, ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.5 } }, ["limit.seconds"] = 2,
    },
  },
  expect = {
    ["sequential-contrast"] = { truth = { contrast = { window = 10 } }, within = 2.5, unit = "%" },
    ["white-luminance"]     = { truth = { luminance = { window = 10 } }, within = 1, unit = "%" },
    ["black-luminance"]     = { truth = "light.black", within = 2.5, unit = "%" },
  },
}
