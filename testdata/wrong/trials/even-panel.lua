-- A panel that is even from edge to edge, and warms while it is read.
return trial {
  title     = "an even panel, while it warms",
  procedure = "../right/places-with-control.lua",
  worlds    = { ["warming"] = { base = "dunlin-27", ["edge.dim"] = { 0, 0 }, ["edge.colour"] = { 0, 0, 0 }, ["warmup.on_for"] = 0 } },
  expect    = { ["last-place"] = { truth = 0, within = 0.5 } },
}
