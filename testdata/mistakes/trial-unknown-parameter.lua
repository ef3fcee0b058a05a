-- Mistake in line 5: a trial sets a parameter that the procedure does not have.
return trial {
  title     = "the sweep finds the peak",
  procedure = "window-sweep",
  params    = { wait = 2 },
  world     = "default",
  expect    = {
    ["peak-luminance"] = { truth = "light.white", within = 1, unit = "%" },
  },
}
