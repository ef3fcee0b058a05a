return procedure {
  title = "T", purpose = "P",
  needs = { meter = {}, patches = {} },
  run = function(p)

    patches.show { grey = 1 }
    record.value { name = "A", value = meter.read().Y }
    record.value { name = "B", value = meter.read().Y }
  end,
}
