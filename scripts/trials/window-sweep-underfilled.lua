-- A meter that sees more of the screen than the smallest windows cover, and can tell.
-- Where larger windows show a plateau, that is the peak. Where the luminance falls
-- from the smallest window on, the highest that can be read is a lower limit.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }
local function seen(field, changes)
  changes["meter.field"], changes["meter.sees_field"] = field, "yes"
  return changes
end

return trial {
  title     = "the peak, or its lower limit, where small windows do not fill the meter's field of view",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["3 %"]           = seen(3, {}),
    ["8 %"]           = seen(8, {}),
    ["slopes from 0"] = seen(3, { ["limit.curve"] = { { 0, 1 }, { 1, 0.4 } }, ["light.hdr_peak"] = 480 }),
  },
  expect = {
    ["peak-luminance"]        = {
      truth = { peak_luminance = { windows = windows } }, within = 0.5, unit = "%", bound = "lower", bound_within = 3,
    },
    ["full-screen-luminance"] = { truth = { luminance = { grey = 1, window = 100 } }, within = 0.5, unit = "%" },
  },
}
