-- What white adds to black does not depend on the room.
return trial {
  title     = "the light of white by itself, in a lit room",
  procedure = "../right/white-in-a-lit-room.lua",
  world     = "default",
  expect    = { ["emitted-white"] = { truth = "light.white", within = 0.7, unit = "%" } },
}
