-- Filters that lie some 2 nm off, and leak.
local function of(axis, rgb) return { truth = { [axis] = { rgb = rgb, window = 10 } }, within = 0.002 } end

return trial {
  title     = "primaries by a filter colorimeter",
  procedure = "../right/corrected-primaries.lua",
  worlds    = {
    ["filters"] = { ["meter.kind"] = "filter", ["meter.filter_shift"] = { 2, -1.5, 2.5 }, ["meter.filter_leak"] = { 0.6, 0.3, 0.5 } },
  },
  expect    = {
    ["red-x"]   = of("x", { 1, 0, 0 }), ["red-y"]   = of("y", { 1, 0, 0 }),
    ["green-x"] = of("x", { 0, 1, 0 }), ["green-y"] = of("y", { 0, 1, 0 }),
    ["blue-x"]  = of("x", { 0, 0, 1 }), ["blue-y"]  = of("y", { 0, 0, 1 }),
  },
}
