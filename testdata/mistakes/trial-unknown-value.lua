-- Mistake in line 7: a trial expects a value that the procedure does not record.
return trial {
  title     = "the sweep finds the peak",
  procedure = "window-sweep",
  world     = "default",
  expect    = {
    ["peak-luminanse"] = { truth = "light.white", within = 1, unit = "%" },
  },
}
