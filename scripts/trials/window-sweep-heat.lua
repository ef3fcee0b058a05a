-- A panel that gets hot within a minute and then dims. With rests between the windows
-- it does not, if it is read at once: watching a window for half a minute would heat it.
-- Without rests the full screen would read a third too low.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "peak and full-screen luminance of a panel that dims by heat, with rests",
  procedure = "window-sweep",
  params    = { windows = windows, longest_settling = 0 },
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
