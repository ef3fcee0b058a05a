-- How long cold units of several kinds need, and how much luminance full white loses
-- by heat.
return trial {
  title     = "the time until the luminance is stable, from a cold start, and thermal dimming",
  procedure = "warm-up",
  worlds    = {
    ["phone"]              = { ["warmup.on_for"] = 0 },
    ["quick"]              = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 40, -2 }, { 400, 4 } } },
    ["slow"]               = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 200, 1.5 }, { 1800, -4 } } },
    ["one term"]           = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 700, 6 } } },
    ["dims by heat"]       = { ["warmup.on_for"] = 0, ["thermal.from"] = 0.2, ["thermal.by"] = 30 },
    ["dims at once"]       = { ["warmup.on_for"] = 0, ["thermal.from"] = 0.25, ["thermal.by"] = 30, ["thermal.seconds"] = 150 },
    ["dims late"]          = { ["warmup.on_for"] = 0, ["thermal.from"] = 0.35, ["thermal.by"] = 60, ["thermal.seconds"] = 250 },
    ["dims still"]         = { ["warmup.on_for"] = 0, ["thermal.from"] = 0.15, ["thermal.by"] = 40, ["thermal.seconds"] = 900 },
    ["television"]         = { base = "fulmar-55", ["warmup.on_for"] = 0 },
    ["monitor"]            = { base = "dunlin-27", ["warmup.on_for"] = 0 },
    ["filters, dims"]      = { base = "awkward", ["warmup.on_for"] = 0 },
  },
  expect = {
    ["warm-up-time"]    = { truth = { warm_up_time = {} }, within = 8, unit = "%" },
    ["warm-up-drift"]   = { truth = { warm_up_drift = { from = 17 } }, within = 0.4 },
    ["thermal-dimming"] = { truth = { thermal_dimming = {} }, within = 0.5 },
  },
}
