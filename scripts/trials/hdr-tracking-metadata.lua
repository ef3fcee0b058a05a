-- A television whose roll-off depends on the metadata, and whose power limiting is
-- slow.
local d65 = { 0.3127, 0.329 }

return trial {
  title     = "the roll-off that belongs to the metadata, with slow power limiting",
  procedure = "hdr-tracking",
  params    = { delay = 10, window = 2, mastering_peak = 4000 },
  worlds    = {
    ["television"] = { base = "fulmar-55", ["primaries.white"] = d65 },
    ["dimmer"]     = { base = "fulmar-55", ["primaries.white"] = d65, ["light.hdr_peak"] = 800 },
    ["by default"] = { base = "fulmar-55", ["primaries.white"] = d65, ["tone.hdr_source"] = 10000 },
  },
  expect = {
    ["average-tracking-error"]     = { truth = 0, within = 0.5 },
    ["average-tracking-delta-e-itp"] = { truth = 0, within = 0.5 },
    ["roll-off-start"]       = { truth = { roll_off_start = { window = 2, mastering_peak = 4000 } }, within = 3, unit = "%" },
    ["peak-luminance"]       = { truth = "light.hdr_peak", within = 0.7, unit = "%" },
  },
}
