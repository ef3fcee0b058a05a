-- Contrast depends most on the meter's dark level, as it was left or as it has
-- drifted since.
return trial {
  title     = "the intervals of contrast and black hold the truth, with meters that have errors",
  procedure = "contrast",
  params    = { window = 10, delay = 12 },
  worlds    = {
    ["dark level"]        = { ["light.black"] = 0.1, ["meter.scale"] = 1, ["meter.dark"] = 0.002 },
    ["dark level drifts"] = { ["light.black"] = 0.1, ["meter.scale"] = 1, ["meter.dark_drift"] = 0.003 },
  },
  draws     = 150,
  expect    = {
    ["sequential-contrast"] = { truth = { contrast = { window = 10 } }, within = 15, unit = "%", covers = 0.75 },
    ["black-luminance"]     = { truth = "light.black", within = 0.015, covers = 0.75 },
  },
}
