return procedure {
  title = "T", purpose = "P", needs = { meter = {}, patches = {}, unit = {} },
  settings = { ["Adaptive brightness"] = "off", Brightness = "maximum" },
  on_resume = function(p, pause)
    record.note(string.format("warmed up again after %g s: %s", pause.seconds, pause.reason))
    unit.set { Brightness = 50 }
    patches.show { grey = 0.5 }
    run.part("warm", function() clock.wait(60) meter.read() end)
    math.random()
  end,
  run = function(p)
    patches.show { grey = 0.8, window = 10 }
    local a = meter.read()
    run.part("around", function()
      run.unbroken("decay", { before_restart = function()
        record.note("let out")
        patches.black()
        clock.wait(30)
      end }, function()
        patches.show { grey = 1, window = 10 }
        clock.wait(5)
        meter.read { after = 1 }
      end)
    end)
    patches.show { grey = 0.8, window = 10 }
    local b = meter.read { after = 5 }
    record.value { name = "Chance", value = math.random(1000) }
    record.value { name = "Same", value = math.abs(b.Y / a.Y - 1) < 0.1 and 1 or 0 }
    meter.read()
  end,
}
