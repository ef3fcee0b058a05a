-- The power limiting of a television settles within seconds, and the readings must
-- wait for it: after the default delay of 2 s the full screen reads 5 % too high.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "peak and full-screen luminance of an HDR signal with slow power limiting and a long delay",
  procedure = "window-sweep",
  params    = { windows = windows, delay = 12, signal = "pq" },
  worlds    = {
    ["television"]    = "fulmar-55",
    ["brighter"]      = { base = "fulmar-55", ["light.hdr_peak"] = 2400 },
    ["mild limiting"] = { base = "fulmar-55", ["limit.curve"] = { { 0, 1 }, { 0.1, 1 }, { 1, 0.5 } } },
  },
  expect = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows, signal = "pq" } }, within = 0.5, unit = "%" },
    ["full-screen-luminance"] = { truth = { luminance = { grey = 1, window = 100, signal = "pq" } }, within = 0.5, unit = "%" },
  },
}
