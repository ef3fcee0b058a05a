-- A monitor that has just been switched on, and gains 8 % of light within an hour or two. The truth is that of the warm panel.
return trial {
  title     = "white of a warm panel that was cold when the run began",
  procedure = "../right/warm-white.lua",
  world     = { base = "dunlin-27", ["warmup.on_for"] = 0 },
  expect    = { ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.9, unit = "%" } },
}
