-- A monitor whose light is switched 180.3 times a second, and a meter that integrates for 20 ms.
local function of(grey) return { truth = { luminance = { grey = grey, window = 10, bits = 8 } }, within = 0.7, unit = "%" } end

return trial {
  title     = "luminance where the light is switched",
  procedure = "../right/whole-periods.lua",
  worlds    = { ["quick meter"] = { base = "dunlin-27", ["meter.integration"] = 0.02 } },
  expect    = { ["white-luminance"] = of(1), ["grey-luminance"] = of(0.6), ["dark-luminance"] = of(0.4) },
}
