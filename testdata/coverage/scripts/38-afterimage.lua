-- Its author wrote it for the default world. What is true there, in the author's words:
--   Left after 10 s [%]: L(probe, 10 s after 120 s of white) / L(before) - 1, % (retention plus warm-up). The number is 0.331693
--   Left after 60 s [%]: the same at 60 s, absolute. The number is 0.0492203
--   Tint after 10 s [u'v']: u'v' distance of both. The number is 0.000575477
return procedure {
  title = "Afterimage",
  purpose = "What is left of a white square on a dark grey, ten seconds and a minute after it was shown for two minutes.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  run = function(p)
    local probe = { code = 40, bits = 8 }
    patches.show(probe)
    clock.wait(60)
    local before = meter.read { repeats = 5 }
    patches.show { grey = 1, window = 10 }
    clock.wait(120)
    patches.show(probe)
    local a = meter.read { after = 10 }
    local b = meter.read { after = 60 }
    record.value { name = "Left after 10 s", value = 100 * (a.Y / before.Y - 1), unit = "%" }
    record.value { name = "Left after 60 s", value = 100 * math.abs(b.Y / before.Y - 1), unit = "%" }
    record.value { name = "Tint after 10 s", value = colour.delta_uv(a, before), unit = "u'v'" }
  end,
}
