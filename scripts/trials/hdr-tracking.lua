-- Displays that follow ST 2084 up to where they clip or roll off, and ignore the
-- metadata.
return trial {
  title     = "no deviation below the roll-off, its start and the peak, where the display ignores metadata",
  procedure = "hdr-tracking",
  params    = { delay = 4, window = 5 },
  worlds    = {
    ["clips"]           = { ["primaries.white"] = { 0.3127, 0.329 } },
    ["rolls off"]       = { ["tone.hdr"] = "roll_off", ["primaries.white"] = { 0.3127, 0.329 } },
    ["soft roll-off"]   = {
      ["tone.hdr"] = "roll_off", ["tone.hdr_source"] = 10000, ["light.hdr_peak"] = 600, ["primaries.white"] = { 0.3127, 0.329 },
    },
    ["lit from behind"] = { base = "dunlin-27", ["primaries.white"] = { 0.3127, 0.329 } },
    ["white subpixels"] = {
      base = "fulmar-55", ["tone.metadata"] = "ignore", ["limit.curve"] = {}, ["primaries.white"] = { 0.3127, 0.329 },
    },
    ["no noise"]        = { base = "ideal", ["light.hdr_peak"] = 700 },
  },
  expect = {
    ["average-tracking-error"]     = { truth = 0, within = 0.5 },
    ["maximum-tracking-error"]       = { truth = 0, within = 1.5 },
    ["average-tracking-delta-e-itp"] = { truth = 0, within = 0.5 },
    ["luminance-relative-to-target"]       = { truth = 100, within = 0.5 },
    ["roll-off-start"]       = { truth = { roll_off_start = { window = 5 } }, within = 3, unit = "%" },
    ["peak-luminance"]       = { truth = { luminance = { window = 5, signal = "pq" } }, within = 0.7, unit = "%" },
  },
}
