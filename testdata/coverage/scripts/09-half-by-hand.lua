-- Its author wrote it for the default world. What is true there, in the author's words:
--   Code at half white [code]: code (interpolated in log L between 182 and 188) at half of white; of the curve 186.09; limiter acts a little at 18 %.
--     The number is 186.083
--   Lower code [code]: largest tried code at or below half: 182. The number is 182
return procedure {
  title = "Half of white by interpolation",
  purpose = "Interpolates in logarithms between two codes around half of white.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local function show(c) patches.show { code = c, bits = 8, window = 18 }; return meter.measure { relative = 0.2 } end
    local w = show(255)
    local target = w.Y / 2
    local lo, hi
    local prev, pc
    for c = 170, 200, 6 do
      local r = show(c)
      if prev and prev.Y <= target and r.Y > target then
        local f = (math.log(target) - math.log(prev.Y)) / (math.log(r.Y) - math.log(prev.Y))
        lo, hi = pc, pc + f * (c - pc)
      end
      prev, pc = r, c
    end
    record.value { name = "Code at half white", value = hi, unit = "code" }
    record.value { name = "Lower code", value = lo, unit = "code" }
  end,
}
