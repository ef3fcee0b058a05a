-- The SDR peak of a television that dims what stands still or gets hot.
local windows = { 1, 2, 3, 10, 30, 100 }

return trial {
  title     = "the peak of a television that dims still and hot pictures",
  procedure = "window-sweep",
  params    = { windows = windows, delay = 12 },
  world     = "fulmar-55",
  expect    = { ["peak-luminance"] = { truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%" } },
}
