-- Black and the first step above it, from single readings beside a white that is read until it is known.
return trial {
  procedure = "near-black",
  params    = { last = 10 },
  worlds    = {
    ["steady"]       = { meter = { scale = 1, dark = 0, dark_drift = 0 }, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {}, ["light.black"] = 0.2 },
    ["level errs"]   = { meter = { scale = 1, dark = 0.002, dark_drift = 0 }, ["limit.curve"] = {}, ["warmup.terms"] = {}, ["warmup.colour"] = { 0, 0, 0 }, ["retention.terms"] = {}, ["light.black"] = 0.2 },
    ["as shipped"]   = { ["meter.scale"] = 1, ["meter.dark"] = 0.002, ["light.black"] = 0.02 },
  },
  draws     = 200,
  expect    = {
    ["black-luminance"]        = { truth = "light.black", within = 1 },
    ["first-step-above-black"] = { truth = { first_code = {} }, within = 20 },
  },
}
