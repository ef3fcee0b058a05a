-- Mistake in line 1: the file measures as it is loaded, and returns nothing.
local function measure()
  patches.show { grey = 1, window = 10 }
  record.value { name = "White", value = meter.measure {} }
end
measure()
