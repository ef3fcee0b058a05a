-- A meter whose scale is known to 1 % reads the peak that much off; the interval of
-- 95 % says so. Of 20 that hold the truth with a chance of 0.95, fewer than 15 do
-- once in 3,000 times.
local windows = { 1, 10, 100 }

return trial {
  title     = "the intervals of peak and full-screen luminance hold the truth, by meters that are off",
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
