-- Mistake: the peak is taken from a single window of 10 %, as for the last unit.
-- Lesson: This television limits from 3 % on, so that at 10 % a seventh of its peak is gone. Which window shows the peak is a
--   property of the unit: sweep, and say which windows the peak is of.
-- Right: window-sweep
-- Trial: window-sweep-slow-pq, television
-- Bias: peak-luminance -16 to -12 %
return procedure {
  title    = "HDR peak, at 10 %",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local function read(window)
      patches.black { signal = "pq" }
      clock.wait(10)
      patches.show { grey = 1, window = window, signal = "pq" }
      return meter.read { after = 12, relative = 0.1 }
    end
    local peak, full = read(10), read(100)
    record.value { name = "Peak luminance", value = peak, unit = "cd/m2" }
    record.value { name = "Full-screen luminance", value = full, unit = "cd/m2" }
  end,
}
