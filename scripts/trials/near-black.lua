-- The first step above black and the crushed steps, where the luminance rises at once,
-- late or slowly, with a black that is dark or not.
return trial {
  title     = "the first step above black, and how many steps are crushed",
  procedure = "near-black",
  worlds    = {
    ["as shipped"]         = "default",
    ["cut off at 6"]       = { ["tone.cut_off"] = 0.0225 },
    ["cut off slowly"]     = { ["tone.cut_off"] = 0.012, ["tone.cut_off_by"] = "ramp" },
    ["steep"]              = { ["tone.exponent"] = 2.5 },
    ["lit from behind"]    = "dunlin-27",
    ["another family"]     = { base = "fulmar-55", ["light.black"] = 0.02 },
    ["the same, cut off"]  = { base = "fulmar-55", ["tone.cut_off"] = 0.03 },
    ["filters, by points"] = "awkward",
  },
  expect = {
    ["first-step-above-black"] = { truth = { first_code = {} }, within = 0 },
    ["crushed-steps"]              = { truth = { crush = {} }, within = 0 },
  },
}
