-- Primaries, coverage and white of displays with and without a white subpixel, with a
-- visible black, with a mode of other primaries, and with slow power limiting. A mean
-- is known to 0.1 %; additivity is a sum of four such means. The panels drift by up to
-- 0.25 % in luminance, and by 0.0003 in u'v', which is 0.3 % of the colour temperature
-- of a bluish white. Coverage depends on noise in chromaticity, which is a tenth of 0.1 %.
return trial {
  title     = "coverage of three spaces, additivity and white, for every kind of panel",
  procedure = "gamut",
  params    = { delay = 4 },
  worlds    = {
    ["phone"]               = "default",
    ["phone, dusk"]         = { base = "default", mode = "Dusk" },
    ["white subpixels"]     = "fulmar-55",
    ["white without boost"] = { base = "fulmar-55", ["primaries.white_boost"] = 0 },
    ["lit from behind"]     = "dunlin-27",
    ["grey black"]          = { base = "dunlin-27", ["light.black"] = 3 },
    ["limits late"]         = { ["limit.curve"] = { { 0, 1 }, { 0.01, 1 }, { 0.03, 0.5 } }, ["limit.seconds"] = 0.6 },
    ["no noise"]            = "ideal",
    ["narrow and warm"]     = { ["primaries.red"] = { 610, 60 }, ["primaries.green"] = { 545, 70 }, ["primaries.white"] = { 0.34, 0.35 } },
  },
  expect = {
    ["coverage-bt709-uv"]   = { truth = { coverage = { space = "bt709", diagram = "uv" } }, within = 0.05 },
    ["coverage-bt709-xy"]   = { truth = { coverage = { space = "bt709", diagram = "xy" } }, within = 0.05 },
    ["coverage-p3-uv"]      = { truth = { coverage = { space = "p3-d65", diagram = "uv" } }, within = 0.05 },
    ["coverage-p3-xy"]      = { truth = { coverage = { space = "p3-d65", diagram = "xy" } }, within = 0.05 },
    ["coverage-bt2020-uv"]  = { truth = { coverage = { space = "bt2020", diagram = "uv" } }, within = 0.05 },
    ["coverage-bt2020-xy"]  = { truth = { coverage = { space = "bt2020", diagram = "xy" } }, within = 0.05 },
    ["additivity"]          = { truth = { additivity = { window = 4 } }, within = 0.4 },
    ["white-luminance"]     = { truth = { luminance = { window = 4 } }, within = 0.5, unit = "%" },
    ["white-cct"]           = { truth = { cct = { window = 4 } }, within = 0.3, unit = "%" },
    ["white-duv"]           = { truth = { duv = { window = 4 } }, within = 0.0003 },
    ["white-drift"]         = { truth = 0, within = 0.5 },
  },
}
