-- The highest of some windows, and the plateau about it.
local windows = { 1, 4, 10, 30, 100 }
return trial {
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["steady"]     = { meter = { scale = 1, dark_drift = 0 }, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {} },
    ["exact scale"] = { ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {} },
    ["as shipped"] = { ["meter.scale"] = 1 },
  },
  draws     = 200,
  expect    = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows } }, within = 100, unit = "%" },
    ["full-screen-luminance"] = { truth = { luminance = { window = 100 } }, within = 100, unit = "%" },
  },
}
