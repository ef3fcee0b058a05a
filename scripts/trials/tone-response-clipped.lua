-- Displays that show all greys above some signal alike. The gamma is that of the steps
-- below.
return trial {
  title     = "the gamma from the steps that are not clipped",
  procedure = "tone-response",
  worlds    = {
    ["from 90 %"] = { ["tone.merged"] = { { 230, 255 } } },
    ["from 80 %"] = { ["tone.merged"] = { { 204, 255 } }, ["tone.exponent"] = 2.4 },
  },
  expect = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.01 },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%" },
  },
}
