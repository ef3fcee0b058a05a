-- Mistake: the display is compared with a plain 2.2 power, though it is meant to follow sRGB.
-- Lesson: The sRGB curve is near 2.2 on the whole and far from it near black, because it begins with a straight line. The
--   display is right and the target is not. Name the curve that is the target; "about 2.2" is none.
-- Right: tone-response
-- Trial: tone-response-srgb, phone
-- Bias: largest-deviation-from-target 150 to 210
return procedure {
  title    = "Deviation from 2.2",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local function read(signal)
      patches.show { grey = signal, bits = 8, window = 10 }
      return meter.read { after = 2, relative = 0.25 }
    end
    local white = read(1)
    local worst, shift = 0, 0
    for i = 1, 19 do
      local signal = math.floor(i / 20 * 255 + 0.5) / 255
      local r = read(signal)
      local off = 100 * (r.Y / (white.Y * signal ^ 2.2) - 1)
      if math.abs(off) > math.abs(worst) then worst = off end
      shift = math.max(shift, colour.delta_uv(r.u, r.v, white.u, white.v))
    end
    record.value { name = "Largest deviation from target", value = worst, unit = "%" }
    record.value { name = "Largest chromaticity shift", id = "largest-chromaticity-shift", value = shift, unit = "" }
  end,
}
