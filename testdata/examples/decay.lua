-- This procedure says what to do after an interruption: a display that was left
-- idle has cooled, and a decay that was being timed is lost.
return procedure {
  title     = "Decay",
  purpose   = "What remains of white after ten seconds of black.",
  needs     = { meter = {}, patches = {} },
  on_resume = function(p, pause) -- before the run goes on: warm up again
    if pause.seconds > 60 then
      patches.show { grey = 0.5 }
      clock.wait(600)
    end
  end,
  run = function(p)
    local function rest_on_black()
      patches.black()
      clock.wait(300)
    end
    run.unbroken("decay", { before_restart = rest_on_black }, function()
      patches.show { grey = 1 }
      clock.wait(60)
      patches.black() -- if the run is interrupted in here, rest_on_black runs and the decay starts over
      record.value { name = "Remains", value = meter.read({ after = 10 }).Y, unit = "cd/m2" }
    end)
  end,
}
