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
  { name = "none", terms = 0, offset = 0 }, { name = "none, beside zero", terms = 0 },
}

-- fit fits one kind.
local function fit(k, columns)
  if k.terms > 0 then
    local d = stats.decay { from = columns.from, to = columns.to, y = columns.y, terms = k.terms, offset = k.offset }
    return {
      name = k.name, decay = d, found = d.converged, fixed = k.offset ~= nil, offset = d.offset, terms = d.terms, rms = d.rms,
      numbers = 2 * k.terms + (k.offset and 0 or 1),
    }
  end
  local mean = stats.mean(columns.y)
  local scatter = math.sqrt(stats.sd(columns.y) ^ 2 * (#columns.y - 1) / #columns.y)
  if not k.offset then return { name = k.name, found = true, offset = mean, terms = {}, rms = scatter, numbers = 1 } end
  return { name = k.name, found = true, fixed = true, offset = 0, terms = {}, rms = math.sqrt(scatter ^ 2 + mean ^ 2), numbers = 0 }
end

local dear = 20
local most = 1000 -- %; a larger term is over before the first reading

-- fits gives the decays that the readings may follow. Each is fitted when it is first
-- asked for, since fits take long and a decision asks for all of them only once. Each
-- term beyond free must explain far more than it costs, since a quick term can always
-- follow the first few readings.
function decays.fits(series, free)
  local columns = { from = {}, to = {}, y = {} }
  for i, s in ipairs(series.after) do columns.from[i], columns.to[i], columns.y[i] = s.from, s.to, s.residual end
  if #columns.y < 10 then
    error(string.format("the decay has %d readings; it needs 10 or more; choose a shorter period or a longer duration", #columns.y))
  end
  local noise, n = decays.noise(series.after), #columns.y
  local named, fits = {}, {}

  -- of gives the decay of a name.
  function fits.of(name)
    if named[name] then return named[name] end
    local c
    for _, k in ipairs(kinds) do
      if k.name == name then c = fit(k, columns) end
    end
    c.squares = n * (c.rms / noise) ^ 2 + (c.offset / series.u_zero) ^ 2
    c.cost = c.squares + c.numbers * math.log(n) + dear * math.max(0, #c.terms - free)
    c.noise, c.n, named[name] = noise, n, c
    return c
  end

  -- all gives all that were found.
  function fits.all()
    local all = {}
    for _, k in ipairs(kinds) do
      local c = fits.of(k.name)
      if c.found then table.insert(all, c) end
    end
    return all
  end

  -- best gives the decay that explains the readings with the fewest parameters: the
  -- least n·rms²/noise² + parameters·ln n. An end beside zero costs by how well the
  -- zero is known.
  function fits.best()
    local best
    for _, c in ipairs(fits.all()) do
      if not best or c.cost < best.cost then best = c end
    end
    return best
  end

  -- follow gives the decay of the name that was decided, even where drawn readings
  -- alone would not tell its terms from noise. Where they say nothing of a term, it
  -- gives the decay that they choose.
  function fits.follow(name)
    for _, term in ipairs(fits.of(name).terms) do
      if math.abs(term.amplitude) >= most then return fits.best() end
    end
    return fits.of(name)
  end

  return fits
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
