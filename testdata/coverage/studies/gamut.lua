-- Coverage by a meter whose chromaticities are all shifted.
return trial {
  procedure = "gamut",
  params    = { delay = 4 },
  worlds    = {
    ["steady"]     = { meter = { scale = 1, xy = 0.001, dark = 0.001, dark_drift = 0 }, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {},
      ["primaries.red"] = { 618, 30 }, ["primaries.green"] = { 540, 45 } },
    ["as shipped"] = { ["meter.scale"] = 1, ["meter.xy"] = 0.001, ["meter.dark"] = 0.001 },
  },
  draws     = 200,
  expect    = {
    ["coverage-p3-uv"]  = { truth = { coverage = { space = "p3-d65", diagram = "uv" } }, within = 100 },
    ["coverage-p3-xy"]  = { truth = { coverage = { space = "p3-d65", diagram = "xy" } }, within = 100 },
    ["white-duv"]       = { truth = { duv = { window = 4 } }, within = 1 },
    ["white-luminance"] = { truth = { luminance = { window = 4 } }, within = 100, unit = "%" },
  },
}
