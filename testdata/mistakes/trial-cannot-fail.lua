-- Mistake in line 5: the tolerance lets each value pass.
return trial {
  procedure = "window-sweep",
  world     = "default",
  expect    = { ["peak-luminance"] = { truth = "light.white", within = 200, unit = "%" } },
  seeds     = 3,
}
