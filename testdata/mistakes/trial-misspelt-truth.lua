-- Mistake in line 7: a trial names a truth that the simulated world does not have.
return trial {
  title     = "the sweep finds the peak",
  procedure = "window-sweep",
  world     = "default",
  expect    = {
    ["peak-luminance"] = { truth = "light.wite", within = 1, unit = "%" },
  },
}
