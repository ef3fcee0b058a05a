-- Its author wrote it for the default world. What is true there, in the author's words:
--   Direction at 100 % [deg]: atan2(dv', du') of white from D65. The number is 248.973
--   Direction at 50 % [deg]: the same for grey 0.5. The number is 250.956
--   Direction at 20 % [deg]: the same for grey 0.2. The number is 250.865
return procedure {
  title = "Direction of the tint",
  purpose = "Direction in u'v' in which white and grey are away from D65, as an angle: 0 is towards +u', 90 towards +v'.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local d65 = colour.uv("d65")
    for _, g in ipairs { 100, 50, 20 } do
      patches.show { grey = g / 100, window = 10 }
      local r = meter.measure {}
      local angle = math.deg(math.atan2(r.v - d65.v, r.u - d65.u))
      if angle < 0 then angle = angle + 360 end
      record.value { name = "Direction at " .. g .. " %", value = angle, unit = "deg" }
    end
  end,
}
