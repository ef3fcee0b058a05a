-- A monitor whose light is switched 180.3 times a second and does not change otherwise, and a meter that integrates for 20 ms.
return trial {
  title     = "white is steady, where the light is switched",
  procedure = "../right/whole-periods.lua",
  worlds    = { ["quick meter"] = { base = "dunlin-27", ["meter.integration"] = 0.02 } },
  expect    = { ["unsteadiness"] = { truth = 0, within = 1 } },
}
