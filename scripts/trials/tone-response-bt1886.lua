-- A display that follows BT.1886 does not deviate from it. The target depends on
-- black, so this holds where the meter can read black. Where black is below the
-- meter's floor, the target of the darkest greys is not known: computed with a black
-- of zero, they seem about 15 % too bright at a signal of 5 %.
return trial {
  title     = "no deviation from BT.1886 where the display follows it and black can be read",
  procedure = "tone-response",
  params    = { target = "bt1886" },
  worlds    = {
    ["phone"]      = { ["tone.kind"] = "bt1886", ["light.black"] = 0.3 },
    ["dark phone"] = { ["tone.kind"] = "bt1886", ["light.black"] = 0.05 },
    ["television"] = { base = "fulmar-55", ["light.black"] = 0.1 },
  },
  expect = {
    ["largest-deviation-from-target"] = { truth = 0, within = 1 },
    ["white-luminance"]               = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%" },
    ["black-luminance"]               = { truth = "light.black", within = 3, unit = "%" },
  },
}
