-- Its author wrote it for the default world. What is true there, in the author's words:
--   Mean hue [deg]: circular mean of the CIELAB hues of the three pinks (signals quantised to 8 bits). The number is 0.614644
--   Hue of the middle pink [deg]: CIELAB hue of the middle pink; near 0. The number is 0.339759
--   Hue span [deg]: hue of the third less hue of the first, over 0. The number is 6.39496
-- mean hue of three pinks around 0 degrees
local pinks = { {0.8,0.4,0.515}, {0.8,0.4,0.533}, {0.8,0.4,0.55} }
return procedure {
  title = "Pink hues",
  purpose = "Mean hue of pinks that lie near 0 degrees, and how far apart their hues are.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    local s, c, h = 0, 0, {}
    for i, rgb in ipairs(pinks) do
      patches.show { rgb = rgb, window = 10 }
      local lch = colour.lch(meter.measure {}, { white = white })
      h[i] = lch.h
      s = s + math.sin(math.rad(lch.h))
      c = c + math.cos(math.rad(lch.h))
    end
    record.value { name = "Mean hue", value = math.deg(math.atan2(s, c)) % 360, unit = "deg" }
    record.value { name = "Hue of the middle pink", value = h[2], unit = "deg" }
    record.value { name = "Hue span", value = math.abs((h[3] - h[1] + 180) % 360 - 180), unit = "deg" }
  end,
}
