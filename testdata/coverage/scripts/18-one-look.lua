-- Its author wrote it for the default world. What is true there, in the author's words:
--   White [cd/m2]: luminance of white, window 10, read without waiting (limiter time constant, warm-up). The number is 479.791
--   Share of red [1]: L(red)/L(white), likewise. The number is 0.216736
--   Red x []: x of red. The number is 0.665111
--   Gamma at half [1]: ln(L0.5/L1)/ln 0.5, 0.5 shown as code 128. The number is 2.18615
return procedure {
  title = "One look",
  purpose = "White, red and mid grey with one reading each.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    patches.show { grey = 1, window = 10 }
    local w = meter.read {}
    patches.show { rgb = { 1, 0, 0 }, window = 10 }
    local r = meter.read {}
    patches.show { grey = 0.5, window = 10 }
    local g = meter.read {}
    record.value { name = "White", value = w.Y, unit = "cd/m2" }
    record.value { name = "Share of red", value = r.Y / w.Y, unit = "1" }
    record.value { name = "Red x", value = r.x }
    record.value { name = "Gamma at half", value = math.log(g.Y / w.Y) / math.log(0.5), unit = "1" }
  end,
}
