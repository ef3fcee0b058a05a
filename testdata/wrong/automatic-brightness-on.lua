-- Mistake: the brightness slider is at its maximum, but the brightness still follows the room.
-- Lesson: In a dark room, and with a meter on the screen that shades the sensor, the unit dims itself by 30 %. The slider is
--   only half of the setting.
-- Right: window-sweep
-- Trial: window-sweep, as shipped
-- Bias: peak-luminance -31 to -28 %
return procedure {
  title    = "Window sweep, brightness by the room",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Brightness"] = "maximum" },
  run = function()
    local best, last = nil, nil
    for _, window in ipairs { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 } do
      patches.show { grey = 1, window = window }
      last = meter.read { after = 2, relative = 0.1 }
      if not best or last.Y > best.Y then best = last end
    end
    record.value { name = "Peak luminance", value = best.Y, unit = "cd/m2" }
    record.value { name = "Full-screen luminance", value = last.Y, unit = "cd/m2" }
  end,
}
