-- Mistake: white is read as soon as the monitor is switched on.
-- Lesson: A panel lit from behind may need an hour to reach its light. Nothing in one reading says that it is cold. Let it warm
--   up on moderate content, and look at the drift over minutes before the first number counts.
-- Right: right/warm-white.lua
-- Trial: trials/white-from-cold.lua, dunlin-27 with warmup.on_for
-- Bias: white-luminance -8.5 to -7 %
return procedure {
  title    = "White, from cold",
  purpose  = "Wrong; the head of this file says why.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  run = function()
    patches.show { grey = 1, window = 10 }
    record.value { name = "White luminance", value = meter.read { after = 2, relative = 0.25 }, unit = "cd/m2" }
  end,
}
