-- A white window that does not fill the meter's field of view reads too low, and
-- so the contrast is a lower limit.
return trial {
  title     = "a lower limit where the white window does not fill the meter's field of view",
  procedure = "contrast",
  params    = { window = 4 },
  world     = { base = "dunlin-27", ["meter.field"] = 6, ["meter.sees_field"] = "yes" },
  expect    = {
    ["sequential-contrast"] = { truth = { contrast = { window = 4 } }, within = 1, unit = "%", bound = "lower", bound_within = 50 },
    ["white-luminance"]     = { truth = { luminance = { window = 4 } }, within = 1, unit = "%", bound = "lower", bound_within = 50 },
    ["black-luminance"]     = { truth = "light.black", within = 0.005 },
  },
}
