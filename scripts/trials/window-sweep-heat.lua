-- A panel that gets hot within a minute and then dims. A sweep that lets it rest
-- between the windows stays under what it can stand; one that does not reads the
-- full screen of a panel that is already dimmed, a third too low.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "peak and full-screen luminance of a panel that dims by heat, given rests",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["dims by heat"] = {
      ["limit.curve"] = {}, ["light.hdr_peak"] = 480, ["thermal.seconds"] = 60, ["thermal.from"] = 0.24, ["thermal.by"] = 90,
    },
  },
  expect = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%" },
    ["full-screen-luminance"] = { truth = { luminance = { grey = 1, window = 100 } }, within = 0.5, unit = "%" },
  },
}
