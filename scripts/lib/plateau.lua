-- The peak of a sweep is stated as the mean of its plateau: the rows next to
-- the highest one that lie within a share of it. The maximum of noisy rows
-- would be too high, the more so the more rows there are.

local plateau = {}

-- find takes a list of { x = …, y = … } and a share in percent. It gives the
-- plateau's mean y, its rows in the order of x, and the first and last x.
function plateau.find(rows, within)
  local sorted = {}
  for i, row in ipairs(rows) do sorted[i] = row end
  table.sort(sorted, function(a, b) return a.x < b.x end)

  local top = 1
  for i, row in ipairs(sorted) do
    if row.y > sorted[top].y then top = i end
  end
  local least = sorted[top].y * (1 - within / 100)
  local first, last = top, top
  while first > 1 and sorted[first - 1].y >= least do first = first - 1 end
  while last < #sorted and sorted[last + 1].y >= least do last = last + 1 end

  local members, values = {}, {}
  for i = first, last do
    table.insert(members, sorted[i])
    table.insert(values, sorted[i].y)
  end
  return { mean = stats.mean(values), rows = members, first = sorted[first].x, last = sorted[last].x }
end

return plateau
