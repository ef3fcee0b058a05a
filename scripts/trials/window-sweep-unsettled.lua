-- Power limiting that settles slowly, with the default delay. Where it settles while
-- the procedure waits, the full screen is read after that; where it does not, there is
-- no value. It is never wrong.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "the settled luminance, or none, where power limiting is slower than the delay",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["0.6 s"]      = { ["limit.seconds"] = 0.6 },
    ["8 s"]        = { ["limit.seconds"] = 8 },
    ["20 s"]       = { ["limit.seconds"] = 20 },
    ["100 s"]      = { ["limit.seconds"] = 100 },
    ["television"] = "fulmar-55",
  },
  expect = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%", or_not_evaluated = true },
    ["full-screen-luminance"] = {
      truth = { luminance = { grey = 1, window = 100 } }, within = 0.6, unit = "%", or_not_evaluated = true,
    },
  },
}
