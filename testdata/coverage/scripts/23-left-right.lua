-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Left minus right, absolute [cd/m2]: 0 (the world is symmetric). The number is 6.82778e-08
--   Colour difference [u'v']: 0. The number is 2.77556e-17
--   Sides against the middle [%]: |L(0.2)/L(0.5)-1|, %, from edge.dim and edge.power. The number is 0.0359326
return procedure {
  title = "Left against right",
  purpose = "Absolute difference of luminance and of u'v' between the left and the right half of a grey.",
  needs = { meter = {}, patches = {}, rig = { place = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 0.6 }
    local function at(x)
      rig.place { x = x, y = 0.5 }
      return meter.read { repeats = 5 }
    end
    local l, r, m = at(0.2), at(0.8), at(0.5)
    record.value { name = "Left minus right, absolute", value = math.abs(l.Y - r.Y), unit = "cd/m2" }
    record.value { name = "Colour difference", value = math.sqrt((l.u - r.u)^2 + (l.v - r.v)^2), unit = "u'v'" }
    record.value { name = "Sides against the middle", value = math.abs((l.Y + r.Y) / 2 / m.Y - 1) * 100, unit = "%" }
  end,
}
