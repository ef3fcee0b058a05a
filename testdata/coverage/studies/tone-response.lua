-- The exponent: the meter's scale cancels, its dark level does not.
local errors = { scale = 1, xy = 0.001, dark = 0.002, dark_drift = 0 }
return trial {
  procedure = "tone-response",
  worlds    = {
    ["steady"]     = { meter = errors, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {}, ["light.black"] = 0.05 },
    ["as shipped"] = { ["meter.scale"] = 1, ["meter.xy"] = 0.001, ["meter.dark"] = 0.002, ["light.black"] = 0.05 },
  },
  draws     = 200,
  expect    = {
    ["gamma"]           = { truth = "tone.exponent", within = 1 },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 100, unit = "%" },
    ["black-luminance"] = { truth = "light.black", within = 1 },
  },
}
