-- A meter that saturates in the upper greys: the gamma comes from the other greys, and
-- white is a lower limit.
return trial {
  title     = "the gamma from the steps that the meter can read",
  procedure = "tone-response",
  worlds    = {
    ["above 0.8"]       = { ["meter.saturation"] = 300 },
    ["above 0.4"]       = { ["meter.saturation"] = 60 },
    ["lit from behind"] = { ["light.black"] = 0.3, ["meter.saturation"] = 200 },
  },
  expect = {
    ["gamma"]                         = { truth = "tone.exponent", within = 0.01 },
    ["white-luminance"]               = {
      truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%", bound = "lower", bound_within = 90,
    },
    ["largest-deviation-from-target"] = { truth = 0, within = 1.5 },
    ["largest-chromaticity-shift"]    = { truth = 0, within = 0.001, or_not_evaluated = true },
  },
}
