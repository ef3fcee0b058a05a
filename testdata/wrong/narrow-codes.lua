-- Mistake: greys are sent as narrow-range codes, 16 to 235, to a display that takes the full range.
-- Lesson: Black is then a dark grey and white is not white, and the dark steps are far too bright. Signals from 0 to 1 leave the
--   coding to the source; who sends codes must know the range at both ends.
-- Right: tone-response
-- Trial: tone-response-srgb, phone
-- Bias: largest-deviation-from-target 200 to 280
return procedure {
  title    = "Deviation from sRGB, by narrow codes",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local function read(signal)
      patches.show { code = math.floor(16 + 219 * signal + 0.5), bits = 8, window = 10 }
      return meter.read { after = 2, relative = 0.25 }
    end
    local white = read(1)
    local worst, shift = 0, 0
    for i = 1, 19 do
      local r = read(i / 20)
      local off = 100 * (r.Y / (white.Y * colour.srgb_to_light(i / 20)) - 1)
      if math.abs(off) > math.abs(worst) then worst = off end
      shift = math.max(shift, colour.delta_uv(r.u, r.v, white.u, white.v))
    end
    record.value { name = "Largest deviation from target", value = worst, unit = "%" }
    record.value { name = "Largest chromaticity shift", id = "largest-chromaticity-shift", value = shift, unit = "" }
  end,
}
