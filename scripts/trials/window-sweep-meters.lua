-- Meters that need care. One integrates over a mains period, which is one and a half
-- of the panel's periods, so that its readings beat with the light: without whole
-- periods each is wrong by up to a fifth, however many are taken. One scatters by
-- 0.6 %, and is read until the mean is known to 0.1 %. One sees more of the screen
-- than the smallest window covers, and cannot tell.
local windows = { 1, 2, 4, 7, 10, 18, 30, 50, 70, 100 }

return trial {
  title     = "peak and full-screen luminance, for every kind of meter",
  procedure = "window-sweep",
  params    = { windows = windows },
  worlds    = {
    ["in step with the light"] = { ["pwm.frequency"] = 75, ["pwm.duty"] = 0.5, ["pwm.depth"] = 0.6, ["meter.integration"] = 0.02 },
    ["scatters"]               = { ["meter.repeatability"] = 0.6 },
    ["wide field"]             = { ["meter.field"] = 1.5 },
  },
  expect = {
    ["peak-luminance"]        = { truth = { peak_luminance = { windows = windows } }, within = 0.7, unit = "%" },
    ["full-screen-luminance"] = { truth = { luminance = { grey = 1, window = 100 } }, within = 0.7, unit = "%" },
  },
}
