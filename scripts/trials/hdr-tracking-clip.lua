-- A display that clips: the roll-off starts above the peak, by the share that
-- the light must be behind, and the light there is the peak's.
return trial {
  title     = "the light where the roll-off of a clipping display starts is its peak",
  procedure = "hdr-tracking",
  params    = { delay = 4, window = 5, levels = { 100 } },
  worlds    = { ["phone"] = "default", ["dim"] = { ["light.hdr_peak"] = 500 } },
  expect    = {
    ["roll-off-start"]     = { truth = { roll_off_start = { window = 5 } }, within = 1, unit = "%" },
    ["roll-off-luminance"] = { truth = "light.hdr_peak", within = 1, unit = "%" },
  },
}
