-- Where the curve is not a power function, the gamma is that of the power function
-- that fits best.
return trial {
  title     = "the gamma that fits a BT.1886 curve best",
  procedure = "tone-response",
  worlds    = {
    ["phone"]      = { ["tone.kind"] = "bt1886" },
    ["dim phone"]  = { ["tone.kind"] = "bt1886", ["light.white"] = 95, ["light.hdr_peak"] = 120 },
    ["television"] = "fulmar-55",
  },
  expect = {
    ["gamma"]           = { truth = { exponent = { steps = 21, bits = 8 } }, within = 0.03 },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%" },
  },
}
