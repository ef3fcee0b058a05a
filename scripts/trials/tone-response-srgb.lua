-- A display that follows the sRGB curve does not deviate from it.
return trial {
  title     = "no deviation from the sRGB curve where the display follows it",
  procedure = "tone-response",
  params    = { target = "srgb" },
  worlds    = {
    ["phone"]           = { ["tone.kind"] = "srgb" },
    ["lit from behind"] = { ["tone.kind"] = "srgb", ["light.black"] = 0.3 },
    ["another family"]  = { base = "fulmar-55", ["tone.kind"] = "srgb" },
  },
  expect = {
    ["largest-deviation-from-target"] = { truth = 0, within = 1 },
    ["largest-chromaticity-shift"]    = { truth = 0, within = 0.001 },
  },
}
