-- The meter fits its integration to the light.
return procedure {
  title    = "Steadiness, by whole periods",
  purpose  = "By how much twelve readings of one white differ where the light is switched.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    local low, high = nil, nil
    patches.show { grey = 1, window = 10 }
    clock.wait(2)
    for _ = 1, 12 do
      local y = meter.read({ sync = true }).Y
      low, high = math.min(low or y, y), math.max(high or y, y)
    end
    record.value { name = "Unsteadiness", value = 100 * (high / low - 1), unit = "%" }
  end,
}
