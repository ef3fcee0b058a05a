-- The sweep finds the peak and the full-screen luminance of displays of other
-- peaks, curves and limits. The truths are without noise, on a warm panel.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "peak and full-screen luminance, for every peak, curve and power limiting",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["as shipped"]         = "default",
    ["dim and steep"]      = { ["light.white"] = 95, ["light.hdr_peak"] = 120, ["tone.exponent"] = 2.45 },
    ["bright and flat"]    = { ["light.white"] = 1600, ["light.hdr_peak"] = 2400, ["tone.exponent"] = 1.9 },
    ["limits from 3 %"]    = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.8 }, { 0.5, 0.35 }, { 1, 0.2 } } },
    ["limits in one step"] = { ["limit.curve"] = { { 0, 1 }, { 0.24, 1 }, { 0.26, 0.7 }, { 1, 0.7 } } },
    ["slopes from 0"]      = { ["limit.curve"] = { { 0, 1 }, { 1, 0.4 } }, ["light.hdr_peak"] = 480, ["tone.exponent"] = 2.6 },
    ["no limits"]          = { ["limit.curve"] = {}, ["tone.exponent"] = 1.8 },
    ["lit from behind"]    = { ["light.black"] = 0.3, ["tone.exponent"] = 2.35 },
  },
  expect = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%" },
    ["full-screen-luminance"] = { truth = { luminance = { grey = 1, window = 100 } }, within = 0.5, unit = "%" },
  },
}
