-- Mistake: the first code whose reading is above the reading of black is taken for the first step above black.
-- Lesson: Of two readings of the same black one is always the higher: half of all codes pass by noise alone, and the first that
--   does ends the search. Ask for a difference that is large against its own uncertainty, from several pairs.
-- Right: near-black
-- Trial: near-black, the same, cut off
-- Bias: first-step-above-black -7 to -5
return procedure {
  title    = "Near black, one reading a code",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = { dark = true }, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.black()
    clock.wait(60)
    meter.dark()
    local first = nil
    for code = 1, 12 do
      patches.black()
      local black = meter.read({ after = 1 }).Y
      patches.show { code = code, bits = 8, window = 10 }
      if run.decide("seen", meter.read({ after = 1 }).Y > black) then
        first = code
        break
      end
    end
    record.value { name = "First step above black", value = first, unit = "code" }
    record.value { name = "Crushed steps", value = first and first - 2, unit = "code" }
  end,
}
