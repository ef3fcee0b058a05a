-- Meters that need care. One integrates over a mains period, which is one and a half
-- of the panel's periods, so that its readings beat with the light: without whole
-- periods each is wrong by up to a fifth, however many are taken. One scatters by
-- 0.6 %, and is read until the mean is known to 0.1 %.
return trial {
  title     = "coverage, additivity and white, for every kind of meter",
  procedure = "gamut",
  params    = { delay = 4 },
  worlds    = {
    ["in step with the light"] = { ["pwm.frequency"] = 75, ["pwm.duty"] = 0.5, ["pwm.depth"] = 0.6, ["meter.integration"] = 0.02 },
    ["scatters"]               = { ["meter.repeatability"] = 0.6 },
  },
  expect = {
    ["coverage-bt709-uv"] = { truth = { coverage = { space = "bt709", diagram = "uv" } }, within = 0.1 },
    ["coverage-p3-uv"]    = { truth = { coverage = { space = "p3-d65", diagram = "uv" } }, within = 0.1 },
    ["additivity"]        = { truth = { additivity = { window = 4 } }, within = 0.8 },
    ["white-luminance"]   = { truth = { luminance = { window = 4 } }, within = 0.9, unit = "%" }, -- 0.25 % of drift, and four times 0.16 %
    ["white-drift"]       = { truth = 0, within = 0.8 },
  },
}
