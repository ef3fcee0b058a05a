-- The scale of these meters is known to 1 or 2 %, and each reads the peak that much
-- too high or too low; the interval of 95 % says so. Of 20 intervals that hold the
-- truth with a probability of 0.95, fewer than 15 do only once in 3,000 times.
local windows = { 1, 10, 100 }

return trial {
  title     = "the intervals of peak and full-screen luminance hold the truth, with meters that have errors",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["phone"]      = { ["meter.scale"] = 1 },
    ["television"] = { base = "fulmar-55", ["meter.scale"] = 2, ["limit.seconds"] = 0 },
  },
  draws     = 200,
  expect    = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows } }, within = 8, unit = "%", covers = 0.75 },
    ["full-screen-luminance"] = { truth = { luminance = { window = 100 } }, within = 8, unit = "%", covers = 0.75 },
  },
}
