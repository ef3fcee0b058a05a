-- A step lies within a tenth of the threshold. No number of readings that a person
-- would wait for tells on which side. Where noise hides it, the first step is stated
-- as a limit, and is never wrong.
return trial {
  title     = "a step that noise hides is stated as a limit",
  procedure = "near-black",
  worlds    = {
    ["code 3 just under"] = { ["tone.exponent"] = 2.6 },
    ["code 2 just over"]  = "fulmar-55",
  },
  expect    = {
    ["first-step-above-black"] = { truth = { first_code = {} }, within = 0, bound = "upper", bound_within = 1 },
    ["crushed-steps"]              = { truth = { crush = {} }, within = 0, bound = "upper", bound_within = 1 },
  },
}
