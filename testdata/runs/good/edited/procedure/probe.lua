return procedure {
  title = "T", purpose = "P",
  needs = { meter = {}, patches = {} },
  run = function(p)

    patches.show { grey = 1 }
    local a = meter.read { repeats = 2 }
    local b = meter.read()
    record.value { name = "Sum", value = a.Y + b.Y }
  end,
}
