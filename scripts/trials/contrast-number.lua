-- A limit is not enough where the meter can read black. A black of 0.08 cd/m2 is
-- known to about 0.6 % (noise and drift of the dark level); four times that is
-- allowed. One panel glows for seconds after white, so black is read first.
return trial {
  title     = "sequential contrast is a number where the meter can read black",
  procedure = "contrast",
  params    = { window = 10, delay = 12 },
  worlds    = {
    ["lit from behind"] = "dunlin-27",
    ["phone"]           = { ["light.black"] = 0.1 },
    ["glows on"]        = { ["light.black"] = 0.1, ["retention.terms"] = { { 5, 30, 1, 0.2 } } },
    ["white subpixels"] = { base = "fulmar-55", ["light.black"] = 0.08 },
    ["no noise"]        = { base = "ideal", ["light.black"] = 0.05 },
  },
  expect = {
    ["sequential-contrast"] = { truth = { contrast = { window = 10 } }, within = 2.5, unit = "%" },
  },
}
