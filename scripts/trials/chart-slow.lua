-- White is brighter at first than after power limiting. Read at once, white and all
-- that is compared with it would be several percent too bright. After four seconds a
-- tenth of a percent is left, and the panel drifts by 0.25 %.
return trial {
  title     = "white is read after power limiting has settled",
  procedure = "chart",
  params    = { delay = 4, colours = 32 },
  world     = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.06, 0.6 } }, ["limit.seconds"] = 0.6, ["light.black"] = 0 },
  expect    = {
    ["white-luminance"] = { truth = { luminance = { window = 10 } }, within = 0.6, unit = "%" },
    ["white-drift"]     = { truth = 0, within = 0.5 },
  },
}
