-- A display that clips: the roll-off starts above the peak, where the luminance falls
-- short by the shortfall, and the luminance there is the peak.
return trial {
  title     = "a clipping display has its peak luminance where the roll-off starts",
  procedure = "hdr-tracking",
  params    = { delay = 4, window = 5, levels = { 100 } },
  worlds    = { ["phone"] = "default", ["dim"] = { ["light.hdr_peak"] = 500 } },
  expect    = {
    ["roll-off-start"]     = { truth = { roll_off_start = { window = 5 } }, within = 1, unit = "%" },
    ["roll-off-luminance"] = { truth = "light.hdr_peak", within = 1, unit = "%" },
  },
}
