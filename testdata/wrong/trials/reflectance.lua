-- A lamp that gives 8 % less light cold than warm.
return trial {
  title     = "the screen's reflectance, under a lamp that warms",
  procedure = "../right/reflectance.lua",
  world     = "default",
  expect    = { ["reflectance"] = { truth = "room.reflectance", within = 1, unit = "%" } },
}
