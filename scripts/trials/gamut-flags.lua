-- A meter that saturates at white and green, or at white alone, or that sees past the
-- window. Only values of readings that it can take are stated.
local function coverage(space)
  return { truth = { coverage = { space = space, diagram = "uv" } }, within = 0.1, or_not_evaluated = true }
end

return trial {
  title     = "no gamut from readings that are not what the panel shows",
  procedure = "gamut",
  params    = { delay = 4 },
  worlds    = {
    ["saturated"]       = { ["meter.saturation"] = 300 },
    ["saturated white"] = { ["meter.saturation"] = 400 },
    ["underfilled"]     = { ["meter.field"] = 6, ["meter.sees_field"] = "yes" },
    ["slow limiting"]   = { ["limit.curve"] = { { 0, 1 }, { 1, 0.2 } }, ["light.hdr_peak"] = 480, ["limit.seconds"] = 8 },
  },
  expect = {
    ["coverage-bt709-uv"]   = coverage "bt709",
    ["coverage-p3-uv"]      = coverage "p3-d65",
    ["coverage-bt2020-uv"]  = coverage "bt2020",
    ["additivity"]          = { truth = { additivity = { window = 4 } }, within = 0.6, or_not_evaluated = true },
    ["additivity-delta-uv"] = { truth = 0, within = 0.001, or_not_evaluated = true },
    ["white-luminance"]     = {
      truth = { luminance = { window = 4 } }, within = 0.5, unit = "%", bound = "lower", bound_within = 50, or_not_evaluated = true,
    },
    ["white-cct"]           = { truth = { cct = { window = 4 } }, within = 0.2, unit = "%", or_not_evaluated = true },
    ["white-drift"]         = { truth = 0, within = 0.5, or_not_evaluated = true },
  },
}
