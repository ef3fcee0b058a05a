-- Four subpixels: a matrix has to fit three kinds of light, and there are four. What remains is larger than the limits of the procedure
-- (0.003 and 2 %), and it has to find that. The numbers are those of this colorimeter on this panel.
return trial {
  title     = "a matrix falls short on a panel with a white subpixel",
  procedure = "meter-match",
  worlds    = {
    ["white subpixels"] = {
      base = "fulmar-55",
      ["meter.kind"] = "filter", ["meter.name"] = "Tern Street filter", ["meter.serial"] = "TF-04",
      ["meter.filter_shift"] = { 2, -1.5, 2.5 }, ["meter.filter_leak"] = { 0.6, 0.3, 0.5 },
    },
  },
  expect    = {
    ["largest-after"]   = { truth = 0.0037, within = 0.0004 },
    ["luminance-after"] = { truth = 3.8, within = 0.5 },
    ["additivity"]      = { truth = { additivity = { window = 10 } }, within = 0.4 },
  },
}
