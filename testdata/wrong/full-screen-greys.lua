-- Mistake: the tone curve is read on full-screen greys of a panel that limits its power.
-- Lesson: A full white is dimmed and a full dark grey is not, so the curve comes out too flat: what was measured is the limiter.
--   Keep the mean light of the screen the same for every step, with a surround about a small window.
-- Right: tone-response
-- Trial: tone-response, as shipped
-- Bias: gamma -0.07 to -0.03
local tone = require "tone"

return procedure {
  title    = "Tone response, on the full screen",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local steps = {}
    for i = 0, 20 do
      local signal = math.floor(i / 20 * 255 + 0.5) / 255
      patches.show { grey = signal, window = 100, bits = 8 }
      local r = meter.read { after = 2, relative = 0.25 }
      table.insert(steps, { signal = signal, Y = r.Y, u = r.u_Y })
    end
    local floor = meter.about().floor
    tone.exclude(steps, 0, floor)
    record.value { name = "White luminance", value = steps[#steps].Y, unit = "cd/m2" }
    record.value { name = "Black luminance", value = floor, unit = "cd/m2", bound = "upper" }
    record.value { name = "Gamma", value = tone.gamma(steps, 0).slope, unit = "" }
  end,
}
