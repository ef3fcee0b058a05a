-- The gamma of displays whose curve is a power function, with power limiting or
-- without.
return trial {
  title     = "the gamma of a power function, for every peak, black and power limiting",
  procedure = "tone-response",
  worlds    = {
    ["as shipped"]         = "default",
    ["dim and steep"]      = { ["light.white"] = 95, ["light.hdr_peak"] = 120, ["tone.exponent"] = 2.45 },
    ["bright and flat"]    = { ["light.white"] = 1600, ["light.hdr_peak"] = 2400, ["tone.exponent"] = 1.9 },
    ["limits from 3 %"]    = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.8 }, { 0.5, 0.35 }, { 1, 0.2 } } },
    ["limits in one step"] = { ["limit.curve"] = { { 0, 1 }, { 0.24, 1 }, { 0.26, 0.7 }, { 1, 0.7 } } },
    ["slopes from 0"]      = { ["limit.curve"] = { { 0, 1 }, { 1, 0.4 } }, ["light.hdr_peak"] = 480, ["tone.exponent"] = 2.6 },
    ["no limits"]          = { ["limit.curve"] = {}, ["tone.exponent"] = 1.8 },
    ["lit from behind"]    = { ["light.black"] = 0.3, ["tone.exponent"] = 2.35 },
    ["another family"]     = { base = "fulmar-55", ["tone.kind"] = "power", ["tone.exponent"] = 2.1 },
  },
  expect = {
    ["gamma"]           = { truth = "tone.exponent", within = 0.01 },
    ["white-luminance"] = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%" },
    ["black-luminance"] = { truth = "light.black", within = 0.01, bound = "upper", bound_within = 0.005 },
  },
}
