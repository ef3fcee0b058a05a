local rewarm = require "rewarm"

-- Readings of black scatter most, and the contrast depends on them.
local readings_of_black = 15

local function measure(p, grey, window, least)
  patches.show { grey = grey, window = window, bits = p.bits }
  return meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, least = least }
end

-- why_not says why white and black give no contrast. A reading that is only a limit gives
-- one that is a limit.
local function why_not(white, black)
  if white.doubt and not white.bound then return "white: " .. white.doubt end
  if black.doubt then return "black: " .. black.doubt end
  if black.bound and not black.limit then return "black does not read above zero, and the meter's floor is not stated" end
end

-- In a lit room a black that the meter cannot read hardly matters: where it changes
-- the contrast by less than 1 %, the contrast is given with half the floor as black.
local function record_ambient(p, white, black, bound, why)
  local room = { lux = p.lux, reflectance = p.reflectance / 100 }
  local darkest = black.limit or black.Y
  if black.bound and darkest < 0.01 * colour.lambertian_luminance(room) then
    darkest, bound = darkest / 2, white.bound
  end
  room.white, room.black = white.Y, darkest
  record.value { name = "Ambient contrast", value = not why and colour.ambient_contrast(room) or nil, bound = bound, why = why }
  record.note(string.format("The ambient contrast is computed, not measured: for an illuminance of %g lx on the screen, of which the "
    .. "screen reflects %g %% diffusely. Mirror reflections of lamps are not part of it.", p.lux, p.reflectance))
end

return procedure {
  title    = "Contrast",
  purpose  = "Measures sequential contrast: black on the whole screen, then white. It also computes the contrast that is left in a lit "
    .. "room. Contrast within one picture is not measured.",
  needs    = { meter = { dark = "optional" }, patches = {} },
  settings = { ["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },
    brightness = { value = "maximum", formerly = { "Brightness" } } },
  params   = {
    window      = { default = 100, unit = "%", min = 0.1, max = 100, help = "sets the share of the screen that white fills" },
    bits        = { default = 8, min = 6, max = 12, whole = true, help = "sets the bit depth of the signal" },
    delay       = { default = 2, unit = "s", min = 0, max = 3600, formerly = { "onset" },
      help = "sets the time from the patch to the reading, in which the panel responds" },
    rest        = { default = 30, unit = "s", min = 0, max = 3600, help = "sets how long the panel rests on black before black is read" },
    dark_level  = { default = "leave", one_of = { "take", "leave" }, formerly = { "zero" },
      help = "chooses whether the meter measures its own dark level before black; take: it does, for a dark level that drifts by "
        .. "more than readings scatter; leave: it does not, for a meter that is stable or cannot measure it" },
    longest_settling = { default = 40, unit = "s", min = 0, max = 3600, formerly = { "patience" },
      help = "sets the longest wait for the luminance to become stable; 0: do not wait" },
    precision   = { default = 0.25, unit = "%", min = 0.01, max = 10,
      help = "sets the largest standard error of the mean, in percent of the luminance; the meter takes 50 readings at most to reach it" },
    lux         = { default = 0, unit = "lx", min = 0, max = 200000,
      help = "sets the illuminance on the screen for the ambient contrast; 0: do not compute it" },
    reflectance = { default = 4, unit = "%", min = 0, max = 100,
      help = "sets the diffuse reflectance of the screen for the ambient contrast" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    -- Black comes first, before a white leaves anything behind in the panel.
    patches.black()
    clock.wait(p.rest)
    if p.dark_level == "take" then meter.dark() end
    run.readings(2)
    local black, white = measure(p, 0, 100, readings_of_black), measure(p, 1, p.window)

    record.value { name = "White luminance", value = white }
    record.value { name = "Black luminance", value = black }
    local why, bound = why_not(white, black), (white.bound or black.bound) and "lower"
    record.value {
      name = "Sequential contrast", value = not why and colour.contrast(white.Y, black.limit or black.Y) or nil, bound = bound, why = why,
    }
    if p.lux > 0 then record_ambient(p, white, black, bound, why) end
    record.note(string.format("For the sequential contrast black filled the whole screen, then white filled %g %% of it. "
      .. "Contrast within one picture is not measured.", p.window))
  end,
}
