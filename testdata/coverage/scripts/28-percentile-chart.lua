-- Its author wrote it for the steady world. What is true there, in the author's words:
--   95th percentile [dE00]: 95th percentile of the 64 CIEDE2000 between L(8-bit signal^2.2)+black and the model from the unit's own primaries and
--     0.25/0.5/0.75 unquantised. The number is 0.236547
--   Median [dE00]: 50th percentile. The number is 0.0965882
--   Largest [dE00]: largest. The number is 0.264823
return procedure {
  title = "Percentile of 64 colours",
  purpose = "95th percentile and largest of the CIEDE2000 of a 4x4x4 cube, against the unit's own primaries and a gamma of 2.2.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function read(rgb)
      patches.show { rgb = rgb, window = 10 }
      return meter.read { repeats = 2, after = 0.5 }
    end
    local r, g, b, w = read {1,0,0}, read {0,1,0}, read {0,0,1}, read {1,1,1}
    local space = colour.space { red = r, green = g, blue = b, white = w }
    local e, lv = {}, { 0.25, 0.5, 0.75, 1 }
    for _, i in ipairs(lv) do for _, j in ipairs(lv) do for _, k in ipairs(lv) do
      local t = colour.rgb_to_xyz { r = i^2.2, g = j^2.2, b = k^2.2, space = space, white = w.Y }
      e[#e + 1] = colour.delta_e2000 { a = t, b = read { i, j, k }, white = w }
    end end end
    record.value { name = "95th percentile", value = stats.percentile(e, 95), unit = "dE00" }
    record.value { name = "Median", value = stats.percentile(e, 50), unit = "dE00" }
    record.value { name = "Largest", value = math.max(unpack(e)), unit = "dE00" }
    record.distribution { title = "Cube", values = e, unit = "dE00" }
  end,
}
