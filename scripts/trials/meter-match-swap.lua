-- One mount: the operator swaps the meters, and white is read before and after with each. The panel of one world is
-- cold, and its white drifts by 4 % while it is read; in another world its colour drifts too, by 0.004 in u'v'; that of the third
-- is warm. The reference's last white is read after that of the colorimeter.
local filters = {
  ["meter.kind"] = "filter", ["meter.name"] = "Tern Street filter", ["meter.serial"] = "TF-04",
  ["meter.filter_shift"] = { 2, -1.5, 2.5 }, ["meter.filter_leak"] = { 0.6, 0.3, 0.5 },
}

local function with_filters(changes)
  local world = { base = "default" }
  for _, part in ipairs { filters, changes } do
    for path, value in pairs(part) do world[path] = value end
  end
  return world
end

return trial {
  title     = "meters that are swapped on one mount agree, and a drift in between is found",
  procedure = "meter-match",
  params    = { swap = true },
  worlds    = {
    ["warm"] = with_filters { ["warmup.on_for"] = 7200 },
    ["cold"] = with_filters { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 900, 8 } }, ["warmup.colour"] = { 0, 0, 0 } },
    ["cold, and its colour drifts"] = with_filters { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 600, 8 } },
      ["warmup.colour"] = { -6, 0, 6 } },
  },
  expect    = {
    ["median-before"]   = { truth = 0.005, within = 0.001 },
    ["median-after"]    = { truth = 0, within = 0.001 },
    ["largest-after"]   = { truth = 0, within = 0.003 },
    ["luminance-after"] = { truth = 0, within = 0.4 },
    ["white-drift"]     = { truths = { warm = 0, cold = -4.2, ["cold, and its colour drifts"] = -4.5 }, within = 0.5 },
  },
}
