-- White over a black that the meter can read; its dark level decides.
return trial {
  procedure = "contrast",
  params    = { window = 10, delay = 12 },
  worlds    = {
    ["steady"]     = { meter = { scale = 1, dark = 0.002, dark_drift = 0 }, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {}, ["light.black"] = 0.1 },
    ["as shipped"] = { ["meter.scale"] = 1, ["meter.dark"] = 0.002, ["light.black"] = 0.1 },
    ["level drifts"] = { ["meter.scale"] = 1, ["meter.dark_drift"] = 0.003, ["light.black"] = 0.1 },
  },
  draws     = 200,
  expect    = {
    ["sequential-contrast"] = { truth = { contrast = { window = 10 } }, within = 100, unit = "%" },
    ["black-luminance"]     = { truth = "light.black", within = 1 },
  },
}
