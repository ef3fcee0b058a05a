-- Finds out which dark steps are brighter than black.
local nearblack = {}

-- mean of some differences, and its standard uncertainty.
function nearblack.mean(differences)
  return stats.mean(differences), stats.sd(differences) / math.sqrt(#differences)
end

-- Few readings may agree by chance. Their uncertainty is widened as Student's t is
-- wider than the normal distribution at three standard deviations.
local function stretched(u, n)
  return u * (1 + 6 / (n - 1))
end

-- plain says whether the differences are clearly above or below a level.
function nearblack.plain(differences, level, sure)
  local mean, u = nearblack.mean(differences)
  return math.abs(mean - level) > sure * stretched(u, #differences)
end

-- hidden_by_noise gives the codes whose steps are neither clearly above nor clearly
-- below a level. The readings as they were taken decide it, since drawn readings
-- contain their noise twice.
local function hidden_by_noise(steps, least, sure)
  local codes, is_hidden = {}, {}
  for _, s in ipairs(steps) do
    if math.abs(s.net - least) <= sure * stretched(s.u, s.n) then table.insert(codes, s.code) end
  end
  for _, code in ipairs(run.decide("codes that noise hides", codes)) do is_hidden[code] = true end
  return is_hidden
end

-- first finds the lowest step that is brighter than black by more than least. Every
-- lower step must clearly be below that. Where noise hides a lower one, the first
-- step that is clearly above is an upper limit.
function nearblack.first(steps, least, sure)
  local is_hidden, hidden, code = hidden_by_noise(steps, least, sure), nil, nil
  for _, s in ipairs(steps) do
    local over = s.net - least
    if is_hidden[s.code] then
      s.verdict = "hidden by noise"
      if not code then hidden = hidden or s.code end
    elseif over > 0 then
      s.verdict = "yes"
      code = code or s.code
    else
      s.verdict = "no"
    end
  end
  if not code then
    return { why = string.format("no step up to code %d is clearly more than %g cd/m2 above black; measure more codes (last) or "
      .. "more pairs (max_pairs)",
      steps[#steps].code, least) }
  end
  if hidden then return { code = code, bound = "upper", why = "" } end
  return { code = code, why = "" }
end

-- target gives the luminance of a signal above black, in cd/m2, by a target curve;
-- scale.white is the luminance of white above black.
function nearblack.target(kind, exponent, signal, scale)
  if kind == "srgb" then return scale.white * colour.srgb_to_light(signal) end
  if kind == "bt1886" then
    return colour.bt1886 { signal = signal, white = scale.white + scale.black, black = scale.black } - scale.black
  end
  return scale.white * signal ^ exponent
end

-- expected gives the first code that the target curve shows by more than least
-- above black.
function nearblack.expected(kind, exponent, bits, scale, least)
  for code = 1, 2 ^ bits - 1 do
    if nearblack.target(kind, exponent, code / (2 ^ bits - 1), scale) > least then return code end
  end
  return 2 ^ bits
end

return nearblack
