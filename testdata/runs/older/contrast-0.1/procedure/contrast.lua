local steady = require "steady"
local rewarm = require "rewarm"

-- Black scatters most, and the ratio hangs on it.
local readings_of_black = 15

local function read_grey(p, level, window, look)
  patches.show { grey = level, window = window, bits = p.bits }
  return steady.read(p, look)
end

-- Black comes first, before a white leaves anything behind in the panel.
local function read_both(p)
  patches.black()
  clock.wait(p.rest)
  if p.zero == "take" then meter.dark() end
  return read_grey(p, 0, 100, { least = readings_of_black }), read_grey(p, 1, p.window, { watch = true })
end

-- A black under the meter's floor is at most the floor, so that the contrast
-- is at least what the floor gives. black_of gives what to divide by, the bound
-- of the ratio, and why there is none.
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
    why = most and "" or "black is not above zero, and the meter's floor is not stated"
    record.value { name = "Black luminance", value = most, unit = "cd/m2", bound = "upper", why = why }
    return most, "lower", why
  end
  record.value { name = "Black luminance", value = r, unit = "cd/m2" }
  return r.Y, nil, ""
end

-- ratio_of joins what is known of black with what is of white: where white is a
-- lower limit so is the contrast.
local function ratio_of(white, black, bound, why)
  local reading, why_white = steady.stated(white)
  if not reading then return nil, nil, "white: " .. why_white end
  return black, white.limit and "lower" or bound, why
end

-- In a lit room a black that the meter cannot read hardly counts: where it
-- changes the contrast by less than 1 % the number is given with half the floor.
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
  record.note(string.format("The ambient contrast is computed, not measured: for %g lx on the screen, of which it throws back %g %%, "
    .. "diffusely; mirror images of lamps are not in it.", p.lux, p.reflectance))
end

return procedure {
  title    = "Contrast",
  purpose  = "White against black, one after the other, and what a lit room leaves of it; not within one picture.",
  needs    = { meter = {}, patches = {} },
  settings = { ["Adaptive brightness"] = "off", ["Brightness"] = "maximum" },
  params   = {
    window      = { default = 100, unit = "%", min = 0.1, max = 100, help = "share of the screen that is white" },
    bits        = { default = 8, min = 6, max = 12, whole = true, help = "bits of the signal" },
    onset       = { default = 2, unit = "s", min = 0, max = 3600, help = "from lit to reading" },
    rest        = { default = 30, unit = "s", min = 0, max = 3600, help = "black before black is read" },
    zero        = { default = "leave", one_of = { "take", "leave" },
      help = "take: the meter takes its dark level before black; worth it where that drifts by more than a reading scatters" },
    patience    = { default = 40, unit = "s", min = 0, max = 3600, help = "how long to wait where the light still changes; 0: not" },
    precision   = { default = 0.25, unit = "%", min = 0.01, max = 10, help = "read until the mean is known this well" },
    lux         = { default = 0, unit = "lx", min = 0, max = 200000, help = "illuminance of the screen; 0: no room is asked about" },
    reflectance = { default = 4, unit = "%", min = 0, max = 100, help = "diffuse share of it that the screen throws back" },
  },
  on_resume = function(_, pause) rewarm.after(pause) end,
  run = function(p)
    local dark, white = read_both(p)
    local reading, why_white = steady.stated(white)
    record.value { name = "White luminance", value = reading, unit = "cd/m2", why = why_white }
    local black, bound, why = ratio_of(white, black_of(dark))
    record.value { name = "Sequential contrast", value = black and colour.contrast(white.Y, black), unit = "", bound = bound, why = why }
    record_ambient(p, white, black, bound, why)
    record.note(string.format("Sequential contrast: black fills the screen, then white %g %% of it. "
      .. "A checkerboard is not among what can be shown, so that contrast within one picture is not measured.", p.window))
  end,
}
