-- Mistake: the patches of an HDR sweep are sent without saying that they are PQ.
-- Lesson: White of an SDR signal is the white of the SDR picture, here half of the HDR peak. The numbers look like a display's,
--   so nobody notices. Say how every patch is coded, and compare only what was coded alike.
-- Right: window-sweep
-- Trial: window-sweep-pq, clips
-- Bias: peak-luminance -51 to -48 %
return procedure {
  title    = "HDR window sweep, coded as SDR",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local best, last = nil, nil
    for _, window in ipairs { 1, 2, 5, 10, 25, 50, 100 } do
      patches.black()
      clock.wait(10)
      patches.show { grey = 1, window = window }
      last = meter.read { after = 2, relative = 0.1 }
      if not best or last.Y > best.Y then best = last end
    end
    record.value { name = "Peak luminance", value = best.Y, unit = "cd/m2" }
    record.value { name = "Full-screen luminance", value = last.Y, unit = "cd/m2" }
  end,
}
