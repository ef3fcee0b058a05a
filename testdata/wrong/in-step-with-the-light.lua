-- Mistake: a quick meter's readings are averaged until their mean is known to 0.1 %, whatever the light does meanwhile.
-- Lesson: A reading of 20 ms takes one and a half of the panel's periods, and the next begins nine periods after it: all have the
--   same phase. None scatters, and all are a fifth too high or too low. Many readings take away what differs between them and
--   nothing else; ask for whole periods of the light.
-- Right: window-sweep
-- Trial: window-sweep-meters, in step with the light
-- Bias: peak-luminance 12 to 20 %
return procedure {
  title    = "Window sweep, averaged",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local highest, full = 0, nil
    for _, window in ipairs { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 } do
      patches.black()
      clock.wait(10)
      patches.show { grey = 1, window = window }
      local r = meter.read { after = 2, relative = 0.1 }
      highest, full = math.max(highest, r.Y), r.Y
    end
    record.value { name = "Peak luminance", value = highest, unit = "cd/m2" }
    record.value { name = "Full-screen luminance", value = full, unit = "cd/m2" }
  end,
}
