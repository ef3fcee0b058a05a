-- Decays that a residual may follow, and which of them fits its readings.
local decays = {}

-- noise gives the noise of the readings, from the differences of neighbours.
function decays.noise(after)
  local sum = 0
  for i = 2, #after do sum = sum + (after[i].residual - after[i - 1].residual) ^ 2 end
  return math.sqrt(sum / 2 / (#after - 1))
end

-- The decays that are tried, by the names that journals have: of one term or of two,
-- which end at zero or beside it. None is tried, too.
local kinds = {
  { name = "one term", terms = 1, offset = 0 }, { name = "one term, beside zero", terms = 1 },
  { name = "two terms", terms = 2, offset = 0 }, { name = "two terms, beside zero", terms = 2 },
}

-- candidates gives the fits of all kinds.
local function candidates(columns)
  local all = {}
  for _, k in ipairs(kinds) do
    local d = stats.decay { from = columns.from, to = columns.to, y = columns.y, terms = k.terms, offset = k.offset }
    table.insert(all, {
      name = k.name, decay = d, found = d.converged, fixed = k.offset ~= nil, offset = d.offset, terms = d.terms, rms = d.rms,
      numbers = 2 * k.terms + (k.offset and 0 or 1),
    })
  end
  local mean = stats.mean(columns.y)
  local scatter = math.sqrt(stats.sd(columns.y) ^ 2 * (#columns.y - 1) / #columns.y)
  table.insert(all, {
    name = "none", found = true, fixed = true, offset = 0, terms = {}, rms = math.sqrt(scatter ^ 2 + mean ^ 2), numbers = 0,
  })
  table.insert(all, { name = "none, beside zero", found = true, offset = mean, terms = {}, rms = scatter, numbers = 1 })
  return all
end

local dear = 20

-- choose takes the decay that explains the readings with the fewest parameters: the
-- least n·rms²/noise² + parameters·ln n. An end beside zero costs by how well the
-- zero is known. Each term beyond free must explain far more than it costs, since a
-- quick term can always follow the first few readings. It also gives all decays that
-- were found, and each one by its name.
function decays.choose(series, free)
  local columns = { from = {}, to = {}, y = {} }
  for i, s in ipairs(series.after) do columns.from[i], columns.to[i], columns.y[i] = s.from, s.to, s.residual end
  if #columns.y < 10 then
    error(string.format("the decay has %d readings; it needs 10 or more; choose a shorter period or a longer duration", #columns.y))
  end
  local noise, n = decays.noise(series.after), #columns.y
  local best, all, named = nil, {}, {}
  for _, c in ipairs(candidates(columns)) do
    c.squares = n * (c.rms / noise) ^ 2 + (c.offset / series.u_zero) ^ 2
    c.cost = c.squares + c.numbers * math.log(n) + dear * math.max(0, #c.terms - free)
    c.noise, c.n, named[c.name] = noise, n, c
    if c.found then
      table.insert(all, c)
      if not best or c.cost < best.cost then best = c end
    end
  end
  return best, all, named
end

local most = 1000 -- %; a larger term is over before the first reading

-- follow gives the decay of the name that was decided, even where drawn readings
-- alone would not tell its terms from noise. Where they say nothing of a term, it
-- gives the decay that they choose.
function decays.follow(name, best, named)
  for _, term in ipairs(named[name].terms) do
    if math.abs(term.amplitude) >= most then return best end
  end
  return named[name]
end

function decays.sum(terms, t)
  local y = 0
  for _, term in ipairs(terms) do y = y + term.amplitude * math.exp(-t / term.tau) end
  return y
end

-- numbers copies what sum needs out of the terms of a fit, since it is called often.
function decays.numbers(terms)
  local all = {}
  for i, term in ipairs(terms) do all[i] = { amplitude = term.amplitude, tau = term.tau } end
  return all
end

-- mean gives the mean of the sum over an integration.
function decays.mean(terms, from, to)
  local y = 0
  for _, term in ipairs(terms) do
    y = y + term.amplitude * term.tau / (to - from) * (math.exp(-from / term.tau) - math.exp(-to / term.tau))
  end
  return y
end

-- plain says that a term is clearly above the noise.
function decays.plain(term)
  return term.u_amplitude ~= nil and math.abs(term.amplitude) > 5 * term.u_amplitude
end

-- share gives how much of a term with the time constant tau is in the readings after
-- some terms are taken off, and its standard uncertainty.
function decays.share(after, off, tau)
  local slow, squares = 0, 0
  for _, s in ipairs(after) do
    local x = decays.mean({ { amplitude = 1, tau = tau } }, s.from, s.to)
    slow, squares = slow + x * (s.residual - decays.mean(off, s.from, s.to)), squares + x * x
  end
  return slow / squares, decays.noise(after) / math.sqrt(squares)
end

return decays
