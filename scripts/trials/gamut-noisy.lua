-- A meter of which single readings scatter by 1 %: the mean is read until it is
-- known to 0.1 %, which by stopping there is 0.16 %. What is stated is four such
-- errors and the panel's drift of 0.25 % off at most; additivity and drift are
-- made of several means.
return trial {
  title     = "readings go on until the mean is known, however much single ones scatter",
  procedure = "gamut",
  params    = { delay = 4 },
  world     = { ["meter.repeatability"] = 1 },
  expect    = {
    ["white-luminance"] = { truth = { luminance = { window = 4 } }, within = 0.9, unit = "%" },
    ["additivity"]      = { truth = 100, within = 1 },
    ["white-drift"]     = { truth = 0, within = 1 },
    ["coverage-p3-uv"]  = { truth = { coverage = { space = "p3-d65", diagram = "uv" } }, within = 0.05 },
  },
}
