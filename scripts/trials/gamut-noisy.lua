-- A meter whose single readings scatter by 1 %. The meter repeats until the mean is
-- known to 0.1 %; because it stops there, that is 0.16 % in truth. Allowed are four such
-- errors and the panel's drift of 0.25 %, and more for additivity and drift, which are
-- made of several means.
return trial {
  title     = "readings go on until the mean is known, even where single readings scatter a lot",
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
