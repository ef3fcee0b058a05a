-- Its author wrote it for the default world. What is true there, in the author's words:
--   Largest deviation [%]: largest |L_i/mean - 1| of the nine places on full white, % (limiter and warm-up included). The number is 1.49226
--   Largest colour difference from the centre [u'v']: largest u'v' distance of the nine places from the centre, from edge.colour. The number is
--     0.00129999
local spots = { {0.1,0.1}, {0.9,0.1}, {0.1,0.9}, {0.9,0.9}, {0.5,0.5}, {0.03,0.5}, {0.97,0.5}, {0.5,0.03}, {0.5,0.97} }
return procedure {
  title = "Largest deviation from the mean",
  purpose = "How far the worst of nine places is from the mean of all nine, in luminance and in colour.",
  needs = { meter = {}, patches = {}, rig = { place = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1 }
    local r, Y = {}, {}
    for i, s in ipairs(spots) do
      rig.place { x = s[1], y = s[2] }
      r[i] = meter.measure { relative = 0.3 }
      Y[i] = r[i].Y
    end
    local mean, worst, colourworst = stats.mean(Y), 0, 0
    for i = 1, #spots do
      worst = math.max(worst, math.abs(Y[i] - mean) / mean)
      colourworst = math.max(colourworst, colour.delta_uv(r[i], r[5]))
    end
    record.value { name = "Largest deviation", value = 100 * worst, unit = "%", from = r }
    record.value { name = "Largest colour difference from the centre", value = colourworst, unit = "u'v'", from = r }
  end,
}
