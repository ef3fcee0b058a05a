-- A small meter whose readings scatter by 1.5 %, on windows that the panel does not limit.
local windows = { 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7, 7.5, 8, 8.5, 9, 9.5, 10 }

return trial {
  title     = "the peak, with a meter whose readings scatter",
  procedure = "window-sweep",
  params    = { windows = windows },
  world     = { ["meter.repeatability"] = 1.5 },
  expect    = { ["peak-luminance"] = { truth = { peak_luminance = { windows = windows } }, within = 1, unit = "%" } },
}
