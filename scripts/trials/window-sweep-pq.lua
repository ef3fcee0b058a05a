-- The same with white as an HDR10 signal, so that the panel's HDR peak is measured.
local windows = { 1, 2, 5, 10, 25, 50, 100 }

return trial {
  title     = "peak and full-screen luminance of an HDR signal",
  procedure = "window-sweep",
  params    = { windows = windows, signal = "pq" },
  worlds    = {
    ["clips"]     = "default",
    ["rolls off"] = { ["tone.hdr"] = "roll_off" },
    ["no limits"] = { ["limit.curve"] = {}, ["light.hdr_peak"] = 1800 },
  },
  expect = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows, signal = "pq" } }, within = 0.5, unit = "%" },
    ["full-screen-luminance"] = { truth = { luminance = { grey = 1, window = 100, signal = "pq" } }, within = 0.5, unit = "%" },
  },
}
