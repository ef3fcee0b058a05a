-- Greys on black, where the average picture level is free, on panels that limit their
-- power. The gamma is that of the steps that are not limited, and white is read after
-- power limiting has settled.
return trial {
  title     = "gamma and white where each grey is shown on black",
  procedure = "tone-response",
  params    = { apl = "free" },
  worlds    = {
    ["limits from 3 %"] = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.8 }, { 0.5, 0.35 }, { 1, 0.2 } } },
    ["limits late"]     = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.6 }, { 1, 0.2 } }, ["limit.seconds"] = 0.6 },
    ["no limits"]       = { ["limit.curve"] = {}, ["tone.exponent"] = 2.4 },
  },
  expect = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.01 },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.6, unit = "%" },
  },
}
