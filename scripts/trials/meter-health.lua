-- The unit shows the grey. 480 cd/m2 of white give 480 * 0.8^2.2 + 0.0008 = 293.80 cd/m2, which is what was found before; in one world the
-- light has become 4 %
-- less, and in one the colour has moved. Both could as well be the meter's. From x 0.306, y 0.322 to x 0.309, y 0.322 it is 0.00216 in u'v'
-- (CIE 15).
return trial {
  title     = "a meter that reads as before, and one that does not",
  procedure = "meter-health",
  params    = { earlier_luminance = 293.80, earlier_x = 0.306, earlier_y = 0.322 },
  worlds    = {
    ["as before"]  = "default",
    ["less light"] = { base = "default", ["light.white"] = 460.8 },
    ["redder"]     = { base = "default", ["primaries.white"] = { 0.309, 0.322 } },
    ["scatters"]   = { base = "default", ["meter.repeatability"] = 0.5 },
  },
  expect    = {
    ["luminance"]              = { truth = { luminance = { grey = 0.8, window = 10 } }, within = 0.5, unit = "%" },
    ["change-of-luminance"]    = { truths = { ["as before"] = 0, ["less light"] = -4, ["redder"] = 0, ["scatters"] = 0 }, within = 0.5 },
    ["change-of-chromaticity"] = { truths = { ["as before"] = 0, ["less light"] = 0, ["redder"] = 0.00216, ["scatters"] = 0 },
      within = 0.0005 },
    ["scatter-of-a-reading"]   = { truths = { ["as before"] = 0.1, ["less light"] = 0.1, ["redder"] = 0.1, ["scatters"] = 0.5 },
      within = 0.28 },
  },
}
