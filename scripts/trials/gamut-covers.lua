-- Meters whose chromaticities are all wrong by as much as their certificates say.
return trial {
  title     = "the intervals of coverage and white hold the truth, with meters that have errors",
  procedure = "gamut",
  params    = { delay = 4 },
  worlds    = {
    ["narrow"]          = {
      ["primaries.red"] = { 610, 60 }, ["primaries.green"] = { 545, 70 }, ["meter.scale"] = 1, ["meter.xy"] = 0.001, ["meter.dark"] = 0.001,
    },
    ["lit from behind"] = { base = "dunlin-27", ["meter.scale"] = 1, ["meter.xy"] = 0.002, ["meter.dark"] = 0.001 },
  },
  draws     = 150,
  expect    = {
    ["coverage-p3-uv"]  = { truth = { coverage = { space = "p3-d65", diagram = "uv" } }, within = 3, covers = 0.75 },
    ["coverage-p3-xy"]  = { truth = { coverage = { space = "p3-d65", diagram = "xy" } }, within = 3, covers = 0.75 },
    ["white-luminance"] = { truth = { luminance = { window = 4 } }, within = 5, unit = "%", covers = 0.75 },
    ["white-duv"]       = { truth = { duv = { window = 4 } }, within = 0.01, covers = 0.75 },
  },
}
