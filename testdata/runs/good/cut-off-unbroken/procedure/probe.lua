return procedure {
  title = "T", purpose = "P",
  needs = { meter = {}, patches = {} },
  run = function(p)

    patches.show { grey = 1 }
    run.part("around", function()
      run.unbroken("decay", function() meter.read() clock.wait(1) meter.read() end)
    end)
    record.value { name = "Y", value = meter.read().Y }
  end,
}
