-- A meter that saturates below the roll-off reads what is below. Where it saturates
-- there, the roll-off is not known. A meter that sees past the window tells nothing.
return trial {
  title     = "tracking up to where the meter can read, and no roll-off above",
  procedure = "hdr-tracking",
  params    = { delay = 4, window = 5, levels = { 20, 100 } },
  worlds    = {
    ["saturated"]     = { ["meter.saturation"] = 500 },
    ["underfilled"]   = { ["meter.field"] = 8, ["meter.sees_field"] = "yes" },
    ["slow limiting"] = { ["limit.curve"] = { { 0, 1 }, { 0.02, 1 }, { 0.1, 0.7 }, { 1, 0.3 } }, ["limit.seconds"] = 8 },
    ["all is read"]   = { ["meter.saturation"] = 1000 },
  },
  expect = {
    ["average-tracking-error"]   = { truth = 0, within = 0.5, or_not_evaluated = true },
    ["maximum-tracking-error"]     = { truth = 0, within = 1.5, or_not_evaluated = true },
    ["luminance-relative-to-target"]     = { truth = 100, within = 0.5, or_not_evaluated = true },
    ["roll-off-start"]     = { truth = { roll_off_start = { window = 5 } }, within = 3, unit = "%", or_not_evaluated = true },
    ["peak-luminance"]     = {
      truth = { luminance = { window = 5, signal = "pq" } }, within = 0.7, unit = "%", bound = "lower", bound_within = 60,
      or_not_evaluated = true,
    },
  },
}
