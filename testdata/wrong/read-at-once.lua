-- Mistake: the meter is started as soon as the source says that the patch is lit.
-- Lesson: The light of a large window is cut back only after it has come on. A reading that begins with the patch holds the
--   overshoot too, so the full screen looks brighter than it stays. State a delay before the reading, and look whether
--   the readings still change.
-- Right: window-sweep
-- Trial: window-sweep, as shipped
-- Bias: full-screen-luminance 4 to 7 %
return procedure {
  title    = "Window sweep, read at once",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local best, last = nil, nil
    for _, window in ipairs { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 } do
      patches.black()
      clock.wait(10)
      patches.show { grey = 1, window = window }
      last = meter.read {}
      if not best or last.Y > best.Y then best = last end
    end
    record.value { name = "Peak luminance", value = best.Y, unit = "cd/m2" }
    record.value { name = "Full-screen luminance", value = last.Y, unit = "cd/m2" }
  end,
}
