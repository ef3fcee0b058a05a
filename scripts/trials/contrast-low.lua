-- Where black is bright, contrast is still white over black: white less black, over
-- black, would be 2.6 % less. Both means are known to 0.25 %, and the panels drift by
-- as much: four times the root of the sum of their squares is 1.7 %.
return trial {
  title     = "low contrast is white over black, also with readings that scatter",
  procedure = "contrast",
  params    = { window = 10, delay = 12, lux = 500, reflectance = 4 },
  worlds    = {
    ["lit from behind"] = { base = "dunlin-27", ["light.black"] = 10 },
    ["phone"]           = { ["light.black"] = 10, ["light.white"] = 300 },
    ["meter scatters"]  = { ["light.black"] = 10, ["light.white"] = 300, ["meter.repeatability"] = 1.5 },
  },
  expect = {
    ["sequential-contrast"] = { truth = { contrast = { window = 10 } }, within = 2, unit = "%" },
    ["ambient-contrast"]    = { truth = { contrast = { window = 10, lux = 500, reflectance = 4 } }, within = 2, unit = "%" },
    ["black-luminance"]     = { truth = "light.black", within = 1.2, unit = "%" },
  },
}
