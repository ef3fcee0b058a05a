-- Its author wrote it for the steady world. What is true there, in the author's words:
--   Uniformity [%]: ratio of the least to the largest luminance over the nine places (full grey 0.8; edge law of [edge], corners darkest), %. The
--     number is 97.4731
--   Darkest luminance [cd/m2]: luminance at the four equal corners (0.05/0.95) of full grey 0.8. The number is 286.368
--   Darkest place: all four corners are equal in the world: any corner name is right, and a tie in truth
-- truth: darkest-place = any: the four corners are equally dark
return procedure {
  title = "Uniformity at nine places",
  purpose = "Ratio of the darkest to the brightest of nine places on a light grey.",
  needs = { meter = {}, patches = {}, rig = { place = true } },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 0.8 }
    local lo, hi, dark
    local where = { "left", "centre", "right" }
    local rows = { "top", "middle", "bottom" }
    for iy, y in ipairs { 0.05, 0.5, 0.95 } do
      for ix, x in ipairs { 0.05, 0.5, 0.95 } do
        rig.place { x = x, y = y }
        local Y = meter.read { repeats = 3 }.Y
        if not lo or Y < lo then lo = Y; dark = rows[iy] .. " " .. where[ix] end
        if not hi or Y > hi then hi = Y end
      end
    end
    record.value { name = "Uniformity", value = 100 * lo / hi, unit = "%" }
    record.value { name = "Darkest luminance", value = lo, unit = "cd/m2" }
    record.value { name = "Darkest place", value = dark }
  end,
}
