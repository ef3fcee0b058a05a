-- How well a corrected meter agrees with the reference, and what to say of it.

local matching = {}

-- compare gives, for each check colour, the distance in u'v' between meter and reference without and with the correction, and
-- the luminance error with it, in percent. A colour without a chromaticity has none and is left out.
function matching.compare(reference, target, correction)
  local rows = {}
  for i, r in ipairs(reference) do
    local t = target[i]
    local fixed = correction:apply(t)
    local seen, uv = pcall(colour.uv, r)
    local got, raw = pcall(colour.uv, t)
    local kept, right = pcall(colour.uv, fixed)
    if seen and got and kept then
      table.insert(rows, {
        index = i, reference = r, target = t, fixed = fixed, uv = uv, fixed_uv = right,
        before = colour.delta_uv(uv.u, uv.v, raw.u, raw.v),
        after = colour.delta_uv(uv.u, uv.v, right.u, right.v),
        luminance = 100 * (fixed.Y / r.Y - 1),
      })
    end
  end
  return rows
end

-- column gives one number of all rows, as a list.
function matching.column(rows, key)
  local list = {}
  for i, row in ipairs(rows) do list[i] = row[key] end
  return list
end

-- noise gives the median distance in u'v' that the scatter of two readings alone makes: that of Rayleigh's distribution,
-- 1.177 times the standard deviation of one coordinate. nil where a reading was single.
function matching.noise(reference, target)
  local squares = 0
  for i, r in ipairs(reference) do
    local t = target[i]
    if not (r.u_u and r.u_v and t.u_u and t.u_v) then return nil end
    squares = squares + (r.u_u ^ 2 + r.u_v ^ 2 + t.u_u ^ 2 + t.u_v ^ 2) / 2
  end
  return 1.177 * math.sqrt(squares / #reference)
end

-- A panel is called additive while red, green and blue add up to white so closely (common practice, no source).
local additive = { luminance = 0.03, delta_uv = 0.004 }

function matching.is_additive(a)
  return math.abs(a.luminance - 1) <= additive.luminance and a.delta_uv <= additive.delta_uv
end

-- cause says why a matrix that is made from red, green, blue and white does not fit other colours of a panel.
local function cause(a)
  if a.luminance < 1 - additive.luminance then
    return string.format("Red, green and blue add up to only %.0f %% of white: the panel adds light to white that none of the three has, "
      .. "as one with a white subpixel does (four subpixels). One matrix has to fit three kinds of light, and here there are four",
        100 * a.luminance)
  end
  if not matching.is_additive(a) then
    return string.format("Red, green and blue add up to %.0f %% of white, with a difference of %.4f in u'v': the panel is not additive, "
      .. "and its mixtures may not be made of the light of the three alone", 100 * a.luminance, a.delta_uv)
  end
  return "Red, green and blue do add up to white, so look for another cause: a meter that was moved or that drifts, light of the room, "
    .. "colours that were too dark for a meter, or a mode that processes colours"
end

-- beyond says which limits what remains is above, in words; "" where it is within both.
local function beyond(left, limits)
  local above = {}
  if left.largest > limits.uv then table.insert(above, string.format("a Δu'v' of %.4f", limits.uv)) end
  if left.luminance > limits.luminance then table.insert(above, string.format("%g %% of the luminance", limits.luminance)) end
  return table.concat(above, " and ")
end

-- not_additive is what a matrix that fits needs to be said of a panel that is not additive, "" for one that is.
local function not_additive(a)
  if matching.is_additive(a) then return "" end
  if a.luminance < 1 then
    return string.format(" But red, green and blue give only %.1f %% of white: the panel may have a white subpixel, and then colours "
      .. "between those that were checked may be further off.", 100 * a.luminance)
  end
  return string.format(" The panel is not additive (red, green and blue give %.1f %% of white). This does not matter to the matrix as "
    .. "long as mixtures are made of the same three kinds of light, but a sum of primaries says little of this panel.", 100 * a.luminance)
end

-- verdict says in words whether the matrix fits, and true if it does. left is what remains on the check colours: median, largest (Δu'v'),
-- luminance (the largest error in percent). limits are { uv=, luminance= }. noise is that of matching.noise, a the additivity.
function matching.verdict(left, limits, noise, a)
  local far = string.format("on colours that the matrix was not made from, a median Δu'v' of %.5f and at most %.5f remain, and at most "
    .. "%.2f %% of the luminance",
    left.median, left.largest, left.luminance)
  local above = beyond(left, limits)
  if above == "" then return "The matrix fits: " .. far .. "." .. not_additive(a), true end
  if noise and left.largest < 4 * noise and left.luminance <= limits.luminance then
    return string.format("It is not known whether the matrix fits: %s. The limit is %s, but noise of the readings alone makes a median "
      .. "Δu'v' of about %.5f. Read again with a smaller precision.", far, above, noise), false
  end
  return string.format("The matrix falls short: %s. The limit is %s. %s. Use the correction only if errors of this size do not matter, "
    .. "and otherwise measure colours of this panel with the reference.", far, above, cause(a)), false
end

return matching
