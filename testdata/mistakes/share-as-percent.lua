-- Mistake in line 12: a ratio is recorded in percent and not multiplied.
return procedure {
  title   = "White of small windows",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  run = function()
    patches.show { grey = 1, window = 10 }
    local white = meter.measure {}
    patches.show { grey = 0.5, window = 10 }
    local grey = meter.measure {}
    local loss = 1 - grey.Y / white.Y
    record.value { name = "Loss", value = loss, unit = "%", from = { grey, white } }
  end,
}
