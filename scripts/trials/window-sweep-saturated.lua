-- A meter that saturates below the panel's peak: what it can still read is a
-- number, what it cannot is a lower limit.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "a lower limit where the meter is saturated, a number elsewhere",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["in small windows"]  = { ["meter.saturation"] = 450 },
    ["in all"]            = { ["meter.saturation"] = 300 },
    ["a little too soon"] = { base = "dunlin-27", ["meter.saturation"] = 378 },
  },
  expect = {
    ["peak-luminance"]        = {
      truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%", bound = "lower", bound_within = 40,
    },
    ["full-screen-luminance"] = {
      truth = { luminance = { grey = 1, window = 100 } }, within = 0.5, unit = "%", bound = "lower", bound_within = 40,
    },
  },
}
