-- Its author wrote it for the steady world. What is true there, in the author's words:
--   dE00 between the two [dE00]: 0. The number is 1.44126e-05
--   Difference [%]: 0. The number is 7.91527e-05
-- same grey twice, other patch in between
return procedure {
  title = "Same grey twice",
  purpose = "Difference between two readings of the same grey, with white shown in between.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function grey() patches.show { grey = 0.4, window = 10 }; return meter.measure {} end
    local a = grey()
    patches.show { grey = 1, window = 10 }
    local w = meter.measure {}
    local b = grey()
    record.value { name = "dE00 between the two", value = colour.delta_e2000 { a = a, b = b, white = w }, unit = "dE00", from = { a, b, w } }
    record.value { name = "Difference", value = math.abs(a.Y - b.Y) / a.Y * 100, unit = "%", from = { a, b } }
  end,
}
