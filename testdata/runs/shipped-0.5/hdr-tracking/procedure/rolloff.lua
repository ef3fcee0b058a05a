-- Where a display stops following an absolute signal.

local rolloff = {}

-- find takes steps in rising order and a share in percent. A step is { signal,
-- target, ratio }, with ratio the luminance over its target. The roll-off starts
-- where the ratio falls by the share below the median ratio of the steps below, and
-- does not recover; so the last step that still follows is searched from the top. It
-- gives the number of that step, that median, and the signal where the ratio passes
-- the limit, nil where the top step follows, too.
function rolloff.find(steps, by)
  local keep = 1 - by / 100
  for last = #steps, 1, -1 do
    local ratios = {}
    for i = 1, last do ratios[i] = steps[i].ratio end
    local level = stats.median(ratios)
    if steps[last].ratio >= keep * level then
      return last, level, rolloff.crossing(steps[last], steps[last + 1], keep * level)
    end
  end
  return 0, nil, nil
end

-- crossing gives the signal between two steps at which the ratio passes a level,
-- interpolated in logarithms.
function rolloff.crossing(holds, falls, level)
  if not falls then return nil end
  local share = math.log(holds.ratio / level) / math.log(holds.ratio / falls.ratio)
  return holds.signal + share * (falls.signal - holds.signal)
end

-- From the knee on (BT.2390) steps fall short by more than this, in percent.
local knee = 1

-- parts names the part of each step: up to the knee they track. In the knee they fall short, as all steps above them do,
-- but not yet by the share at which the roll-off starts. It gives what find gives.
function rolloff.parts(steps, by)
  local last, level, signal = rolloff.find(steps, by)
  local straight = rolloff.find(steps, knee)
  for i, s in ipairs(steps) do
    s.part = i > last and "roll-off" or i > straight and "knee" or "tracking"
  end
  return last, level, signal
end

-- start gives the target where the roll-off starts, or why that is not known: the start may lie at one of all steps that
-- could not be read. last and signal are what find gave of some of them.
function rolloff.start(all, some, last, signal)
  local low = last > 0 and some[last].signal or 0
  local high = last < #some and some[last + 1].signal or 1
  for _, s in ipairs(all) do
    if s.doubt and low < s.signal and s.signal <= high then
      return nil, string.format("the step at %.4g cd/m2 could not be read: %s", s.target, s.doubt)
    end
  end
  if signal then return colour.pq_to_luminance(signal), "" end
  return nil, "no roll-off was found: the display follows the signal to its end, or not at all"
end

return rolloff
