-- A meter that sees past the window, where the surround keeps the average picture
-- level constant: nothing can be said of the curve. Where the window fills its field
-- of view, everything can.
return trial {
  title     = "no gamma from windows that do not fill the meter's field of view",
  procedure = "tone-response",
  worlds    = {
    ["sees past it"]        = { ["meter.field"] = 15, ["meter.sees_field"] = "yes" },
    ["fills it just about"] = { ["meter.field"] = 5, ["meter.sees_field"] = "yes" },
  },
  expect = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.01, or_not_evaluated = true },
    ["white-luminance"] = {
      truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%", bound = "lower", bound_within = 40,
    },
    ["black-luminance"] = {
      truth = "light.black", within = 0.01, bound = "upper", bound_within = 0.005, or_not_evaluated = true,
    },
    ["largest-deviation-from-target"] = { truth = 0, within = 1, or_not_evaluated = true },
  },
}
