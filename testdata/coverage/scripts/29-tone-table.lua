-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Mean gamma [1]: mean of ln(L/Lw)/ln s over six greys, L at the nearest 8-bit code. The number is 2.19236
--   Lightness at 45 % [L*]: L* of grey 0.45 (code 115). The number is 48.6906
--   Stops at 15 % [stops]: log2(L(code 38)/Lw). The number is -6.04198
return procedure {
  title = "Tone table",
  purpose = "Greys with stops below white, lightness and point gamma.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local w = meter.measure {}
    local t = record.table("Greys", { { "signal", "%" }, { "luminance", "cd/m2" }, { "stops" }, { "lightness", "L*" }, { "gamma" } })
    for _, s in ipairs { 90, 75, 60, 45, 30, 15 } do
      patches.show { grey = s / 100, window = 10 }
      local r = meter.measure {}
      t:add { signal = s, luminance = r, stops = colour.stops(r.Y, w.Y), lightness = colour.lightness(r.Y / w.Y),
              gamma = colour.point_gamma { signal = s / 100, luminance = r.Y, white = w.Y } }
    end
    record.value { name = "Mean gamma", value = stats.mean(t:column("gamma")), unit = "1" }
    record.value { name = "Lightness at 45 %", value = t:at("lightness", { signal = 45 }), unit = "L*" }
    record.value { name = "Stops at 15 %", value = t:at("stops", { signal = 15 }), unit = "stops" }
    record.plot { table = t, x = "signal", y = "lightness" }
  end,
}
