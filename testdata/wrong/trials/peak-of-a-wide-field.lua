-- A colorimeter in contact with a small screen sees nearly 1 % of it.
local windows = { 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "the peak, with a meter that sees nearly 1 % of the screen",
  procedure = "window-sweep",
  params    = { windows = windows },
  world     = { ["meter.field"] = 0.95 },
  expect    = { ["peak-luminance"] = { truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%" } },
}
