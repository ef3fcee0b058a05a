-- Its author wrote it for the default world. What is true there, in the author's words:
--   Coverage [%]: share of P3-D65 covered by the primaries, u'v'. The number is 91.6336
--   Farthest corner: blue
--   Distance of that corner [u'v']: u'v' distance of blue from P3's. The number is 0.0532214
--   Sum over white [1]: (Lr+Lg+Lb)/Lw, three blacks against one. The number is 0.999969
return procedure {
  title = "Gamut and sum",
  purpose = "Coverage of P3, the corner that is farthest from P3's, and the sum of the primaries over white.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local m = {}
    for name, rgb in pairs { red = {1,0,0}, green = {0,1,0}, blue = {0,0,1}, white = {1,1,1} } do
      patches.show { rgb = rgb, window = 10 }
      m[name] = meter.measure {}
    end
    local g = colour.gamut { red = m.red, green = m.green, blue = m.blue, space = "p3-d65" }
    local p3 = { red = {x=0.680,y=0.320}, green = {x=0.265,y=0.690}, blue = {x=0.150,y=0.060} }
    local far, which = -1
    for name, xy in pairs(p3) do
      local d = colour.delta_uv(m[name], xy)
      if d > far then far, which = d, name end
    end
    record.value { name = "Coverage", value = 100 * g.coverage, unit = "%" }
    record.value { name = "Farthest corner", value = which }
    record.value { name = "Distance of that corner", value = far, unit = "u'v'" }
    record.value { name = "Sum over white", value = (m.red.Y + m.green.Y + m.blue.Y) / m.white.Y, unit = "1" }
  end,
}
