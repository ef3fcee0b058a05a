-- Mistake: no setting is stated, so the unit is measured as somebody left it.
-- Lesson: The brightness stood at 60 % and followed the room. Nothing in the readings says so, and the peak is less than half of
--   what it should be. A procedure states the settings that it needs; the engine puts them, and keeps them on record.
-- Right: window-sweep
-- Trial: window-sweep, as shipped
-- Bias: peak-luminance -60 to -55 %
return procedure {
  title    = "Window sweep, as it stood",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
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
