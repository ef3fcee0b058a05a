-- What is read off a spectrum { from, step, values }.

local spectra = {}

-- The dip on both sides of a peak, as a share of the spectrum's highest sample, that tells it from noise (common practice, no source).
local least_dip = 0.05

-- dip_beside gives how far the samples fall beside sample i, in one direction, before they rise above it again.
local function dip_beside(values, i, direction)
  local lowest, k = values[i], i + direction
  while values[k] and values[k] <= values[i] do
    lowest, k = math.min(lowest, values[k]), k + direction
  end
  return values[i] - lowest
end

-- peaks gives the samples, by their numbers, that are peaks: those that are higher than both of their neighbours, and from which the
-- spectrum falls on both sides by at least a twentieth of its highest sample before it rises above them.
function spectra.peaks(spectrum)
  local values, found, most = spectrum.values, {}, 0
  for _, v in ipairs(values) do most = math.max(most, v) end
  for i = 2, #values - 1 do
    if values[i] > values[i - 1] and values[i] >= values[i + 1]
      and math.min(dip_beside(values, i, -1), dip_beside(values, i, 1)) >= least_dip * most then
      table.insert(found, i)
    end
  end
  return found
end

-- at gives the wavelength and the height of the peak at sample i: the vertex of the parabola through it and its neighbours.
function spectra.at(spectrum, i)
  local before, here, after = spectrum.values[i - 1], spectrum.values[i], spectrum.values[i + 1]
  local bend, middle = before - 2 * here + after, spectrum.from + (i - 1) * spectrum.step
  if bend >= 0 then return middle, here end
  local t = (before - after) / (2 * bend)
  return middle + math.max(-1, math.min(1, t)) * spectrum.step, here - (before - after) * t / 4
end

-- crossing gives where the spectrum falls to a level beside sample i, by straight lines between samples; nil where it does not.
local function crossing(spectrum, i, direction, level)
  local values = spectrum.values
  while values[i + direction] do
    if values[i + direction] <= level then
      local share = (values[i] - level) / (values[i] - values[i + direction])
      return spectrum.from + (i - 1 + direction * share) * spectrum.step
    end
    i = i + direction
  end
  return nil
end

-- width gives the full width at half of the height of the peak at sample i, nil where the spectrum does not fall so far on both sides.
function spectra.width(spectrum, i)
  local _, height = spectra.at(spectrum, i)
  local left, right = crossing(spectrum, i, -1, height / 2), crossing(spectrum, i, 1, height / 2)
  return left and right and right - left
end

return spectra
