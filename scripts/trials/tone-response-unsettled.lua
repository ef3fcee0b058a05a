-- Power limiting that settles slowly, at a picture level that the whole series shares.
-- The procedure waits until it has settled, or states no gamma. It is never wrong.
local limits = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.8 }, { 0.5, 0.35 }, { 1, 0.2 } }

return trial {
  title     = "the gamma, or none, where power limiting is slower than the delay",
  procedure = "tone-response",
  worlds    = {
    ["2 s"]   = { ["limit.curve"] = limits, ["limit.seconds"] = 2 },
    ["8 s"]   = { ["limit.curve"] = limits, ["limit.seconds"] = 8 },
    ["30 s"]  = { ["limit.curve"] = limits, ["limit.seconds"] = 30 },
    ["200 s"] = { ["limit.curve"] = limits, ["limit.seconds"] = 200 },
  },
  expect = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.01, or_not_evaluated = true },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.6, unit = "%", or_not_evaluated = true },
  },
}
