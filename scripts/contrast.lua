local steady = require "steady"
local rewarm = require "rewarm"

-- Readings of black scatter most, and the contrast depends on them.
local readings_of_black = 15

local function read_grey(p, level, window, look)
  patches.show { grey = level, window = window, bits = p.bits }
  return steady.read(p, look)
end

-- Black comes first, before a white leaves anything behind in the panel.
local function read_both(p)
  patches.black()
  clock.wait(p.rest)
  if p.dark_level == "take" then meter.dark() end
  return read_grey(p, 0, 100, { least = readings_of_black }), read_grey(p, 1, p.window, { watch = true })
end

-- Black below the meter's floor is at most the floor, so the contrast is at least
-- what the floor gives. black_of gives the luminance to divide by, the bound of the
-- contrast, and why there is no contrast.
local function black_of(dark)
  local floor, r = meter.about().floor, dark.reading
  local reading, why = steady.stated(dark)
  if not reading then
    why = "black: " .. why
    record.value { name = "Black luminance", unit = "cd/m2", why = why }
    return nil, nil, why
  end
  if run.decide("black is under the floor", r.flags.below_floor or r.Y <= floor) then
    local most = floor > 0 and math.max(floor, r.Y + 4 * (r.u_Y or 0)) or nil
    why = most and "" or "black does not read above zero, and the meter's floor is not stated"
    record.value { name = "Black luminance", value = most, unit = "cd/m2", bound = "upper", why = why }
    return most, "lower", why
  end
  record.value { name = "Black luminance", value = r, unit = "cd/m2" }
  return r.Y, nil, ""
end

-- ratio_of joins what is known of black and of white: where white is a lower limit,
-- the contrast is one, too.
local function ratio_of(white, black, bound, why)
  local reading, why_white = steady.stated(white)
  if not reading then return nil, nil, "white: " .. why_white end
  return black, white.limit and "lower" or bound, why
end

-- In a lit room a black that the meter cannot read hardly matters: where it changes
-- the contrast by less than 1 %, the contrast is given with half the floor as black.
local function record_ambient(p, white, black, bound, why)
  if p.lux == 0 then return end
  local function at(darkness)
    return colour.ambient_contrast { white = white.Y, black = darkness, lux = p.lux, reflectance = p.reflectance / 100 }
  end
  local room = colour.lambertian_luminance { lux = p.lux, reflectance = p.reflectance / 100 }
  if bound and black and black < 0.01 * room then
    black, bound = black / 2, white.limit and "lower" or nil
  end
  record.value { name = "Ambient contrast", value = black and at(black), unit = "", bound = bound, why = why }
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
    local dark, white = read_both(p)
    local reading, why_white = steady.stated(white)
    record.value { name = "White luminance", value = reading, unit = "cd/m2", why = why_white }
    local black, bound, why = ratio_of(white, black_of(dark))
    record.value { name = "Sequential contrast", value = black and colour.contrast(white.Y, black), unit = "", bound = bound, why = why }
    record_ambient(p, white, black, bound, why)
    record.note(string.format("For the sequential contrast black filled the whole screen, then white filled %g %% of it. "
      .. "Contrast within one picture is not measured, because candelua cannot show a checkerboard.", p.window))
  end,
}
