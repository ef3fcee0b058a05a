-- Displays with nine tenths of the luminance at every step: a deviation of 10 %. The
-- average difference is that of the evenly spaced steps above 0.2 cd/m2, computed
-- independently from ST 2084 and ITU-R BT.2124 (testdata/crosscheck/procedures.py):
-- 6.937. The panels drift by up to 0.25 % while they cool and warm up, which is 0.2 in
-- ITP. Near the floor the dark level drifts by 0.2 %, and three times 0.1 % of noise
-- is allowed for the largest deviation.
local limits = { { 0, 0.9 }, { 1, 0.9 } }

return trial {
  title     = "the deviation of displays with nine tenths of the luminance of the signal",
  procedure = "hdr-tracking",
  params    = { delay = 4, levels = { 100 } },
  worlds    = {
    ["phone"]           = { ["limit.curve"] = limits, ["light.hdr_peak"] = 10000, ["primaries.white"] = { 0.3127, 0.329 } },
    ["lit from behind"] = {
      base = "dunlin-27", ["limit.curve"] = limits, ["light.hdr_peak"] = 10000, ["light.black"] = 0, ["tone.hdr"] = "clip",
      ["primaries.white"] = { 0.3127, 0.329 },
    },
    ["no noise"]        = { base = "ideal", ["limit.curve"] = limits, ["meter.floor"] = 0.005 },
  },
  expect = {
    ["average-tracking-error"]     = { truth = 10, within = 0.3 },
    ["maximum-tracking-error"]       = { truth = -10, within = 0.8 },
    ["luminance-relative-to-target"]       = { truth = 90, within = 0.3 },
    ["average-tracking-delta-e-itp"] = { truth = 6.937, within = 0.25 },
    ["peak-luminance"]       = { truth = 9000, within = 0.5, unit = "%" },
  },
}
