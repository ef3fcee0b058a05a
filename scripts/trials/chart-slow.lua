-- White is brighter at first than what it is limited to. Read at once, it and all
-- that is compared with it would be too bright by several percent; after four
-- seconds a tenth of a percent is left, beside the panel's drift of 0.25 %.
return trial {
  title     = "white is read when limiting has settled",
  procedure = "chart",
  params    = { delay = 4, colours = 32 },
  world     = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.06, 0.6 } }, ["limit.seconds"] = 0.6, ["light.black"] = 0 },
  expect    = {
    ["white-luminance"] = { truth = { luminance = { window = 10 } }, within = 0.6, unit = "%" },
    ["white-drift"]     = { truth = 0, within = 0.5 },
  },
}
