-- Mistake in line 5: a truth is computed by a function that no world has.
return trial {
  procedure = "contrast",
  world     = "default",
  expect    = { ["sequential-contrast"] = { truth = { contrasts = { window = 10 } }, within = 5, unit = "%" } },
  seeds     = 3,
}
