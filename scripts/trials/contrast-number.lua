-- A limit is not enough where the meter can read black.
return trial {
  title     = "sequential contrast is a number where the meter can read black",
  procedure = "contrast",
  params    = { window = 10, onset = 12 },
  worlds    = {
    ["lit from behind"] = "dunlin-27",
    ["phone"]           = { ["light.black"] = 0.1 },
    ["white subpixels"] = { base = "fulmar-55", ["light.black"] = 0.08 },
    ["no noise"]        = { base = "ideal", ["light.black"] = 0.05 },
  },
  expect = {
    ["sequential-contrast"] = { truth = { contrast = { window = 10 } }, within = 2.5, unit = "%" },
  },
}
