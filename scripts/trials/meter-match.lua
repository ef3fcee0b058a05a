-- A filter colorimeter beside a spectroradiometer, on panels with three kinds of light: as they are, with
-- crosstalk, with a meter that scatters by 0.4 %, and with a reference that a certificate states errors of scale for.
-- The colorimeter is aimed anew after the colours of the matrix, so that it sees up to one percent more or less light, and its
-- colour a little changed. It is off by 0.005 in u'v' before.
local filters = {
  ["meter.kind"] = "filter", ["meter.name"] = "Tern Street filter", ["meter.serial"] = "TF-04", ["meter.repeatability"] = 0.15,
  ["meter.filter_shift"] = { 2, -1.5, 2.5 }, ["meter.filter_leak"] = { 0.6, 0.3, 0.5 },
}

local function with_filters(base, changes)
  local world = { base = base }
  for _, part in ipairs { filters, changes } do
    for path, value in pairs(part) do world[path] = value end
  end
  return world
end

return trial {
  title     = "a filter colorimeter agrees with the reference on twenty colours that the matrix was not made from",
  procedure = "meter-match",
  worlds    = {
    ["three subpixels"] = with_filters("default", {}),
    ["crosstalk"]       = with_filters("default", { ["primaries.crosstalk"] = 6 }),
    ["lit from behind"] = with_filters("dunlin-27", {}),
    ["scatters"]        = with_filters("default", { ["meter.repeatability"] = 0.4 }),
    ["errors of scale"] = with_filters("default", { ["meter.scale"] = 3, ["reference.scale"] = 1 }),
  },
  faults    = {
    { kind = "slip", at_second = 1, seconds = 200, percent = 99.2, colour = { 0.3, 0, -0.3 } },
    { kind = "slip", at_second = 201, percent = 101, colour = { -0.3, 0, 0.3 } },
  },
  expect    = {
    ["median-before"] = { truth = 0.006, within = 0.0025 },
    ["median-after"]  = { truth = 0, within = 0.001 },
    ["largest-after"] = { truth = 0, within = 0.003 },
    ["additivity"]    = { truth = { additivity = { window = 10 } }, within = 0.4 },
  },
}
