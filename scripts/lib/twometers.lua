-- Two meters that read the same patches. Where both look at the screen at once, each patch is
-- read by both, one after the other. Where there is one mount for both, the operator swaps them: the
-- reference reads everything first, then the meter, and then the reference once more reads white, so
-- that it is known how the unit changed in between.

local twometers = {}

-- mounted says which meter is in the mount, in words, so that a run that goes on can ask for it.
local mounted

local function mount(name, of)
  local about = of.about()
  local what = string.format("the %s (%s)", name, about.serial ~= "" and about.name .. ", serial number " .. about.serial or about.name)
  operator.confirm(mounted
    and string.format("Take away the meter that is in front of the screen, and put %s in its place: the same spot, the same distance, "
      .. "straight on. Leave the unit on, and touch none of its settings.", what)
    or string.format("Put %s in front of the screen, straight on, and keep the other meter at hand.", what))
  mounted = what
end

local shortest = 60 -- s; in a shorter pause nobody has changed the meters

-- resumed asks the operator, after a pause, for the meter that was in the mount.
function twometers.resumed(pause)
  if not mounted or pause.seconds < shortest then return end
  operator.confirm("Make sure that " .. mounted .. " is in front of the screen, aimed as it was before the pause.")
end

-- A meter's white before and after its readings, in order.
local function whites_of(read, name) return read.whites[name] end

local function read_swapped(a, read)
  for _, name in ipairs { "reference", "meter" } do
    run.part("readings of the " .. name, function()
      mount(name, a[name])
      table.insert(whites_of(read, name), a.measure(a[name], a.white))
      for i, patch in ipairs(a.patches) do read[name][i] = a.measure(a[name], patch) end
      table.insert(whites_of(read, name), a.measure(a[name], a.white))
    end, { readings = #a.patches + 2 })
  end
  run.part("white once more", function()
    mount("reference", a.reference)
    table.insert(whites_of(read, "reference"), a.measure(a.reference, a.white))
  end, { readings = 1 })
  mounted = nil
end

local function read_in_turn(a, read)
  local function both(keep, patch)
    for _, name in ipairs { "reference", "meter" } do keep(name, a.measure(a[name], patch)) end
  end
  local function white(name, r) table.insert(whites_of(read, name), r) end
  run.part("readings of both meters", function()
    both(white, a.white)
    for i, patch in ipairs(a.patches) do
      both(function(name, r) read[name][i] = r end, patch)
    end
    both(white, a.white)
  end, { readings = 2 * (#a.patches + 2) })
end

local function determinant(a, b, c)
  return a.X * (b.Y * c.Z - b.Z * c.Y) - b.X * (a.Y * c.Z - a.Z * c.Y) + c.X * (a.Y * b.Z - a.Z * b.Y)
end

-- amounts gives how much of red, green and blue makes up a stimulus (Cramer's rule).
local function amounts(s, three)
  local r, g, b = three[1], three[2], three[3]
  local all = determinant(r, g, b)
  return { determinant(s, g, b) / all, determinant(r, s, b) / all, determinant(r, g, s) / all }
end

-- change gives by which factors red, green and blue changed between two whites, each by its own. Where white is no
-- mixture of the three, all have the factor of the luminance.
local function change(first, last, three)
  local by, before, after = {}, amounts(first, three), amounts(last, three)
  for i = 1, 3 do
    by[i] = after[i] / before[i]
    if not (before[i] > 0 and by[i] > 0.5 and by[i] < 2) then
      local all = last.Y / first.Y
      return { all, all, all }
    end
  end
  return by
end

-- scaled gives the stimulus with its red, green and blue multiplied each by its own factor.
local function scaled(s, by, three)
  local some, out = amounts(s, three), { X = 0, Y = 0, Z = 0 }
  for i = 1, 3 do
    for axis, x in pairs(out) do out[axis] = x + some[i] * by[i] * three[i][axis] end
  end
  return out
end

-- share_of says how far a time lies between those of two readings, 0 to 1.
local function share_of(began, first, last)
  return last.began > first.began and (began - first.began) / (last.began - first.began) or 0
end

-- steadied gives the stimulus of a reading as it would have been when the meter read white first. Between
-- two whites of a sitting light is taken to change evenly with time: red, green and blue each by itself or, where three is nil,
-- the luminance alone.
local function steadied(r, whites, three)
  local first, last = whites[1], whites[2]
  local share = share_of(r.began, first, last)
  if not three then
    local factor = 1 + share * (last.Y / first.Y - 1)
    return { X = r.X / factor, Y = r.Y / factor, Z = r.Z / factor }
  end
  local by = change(first, last, three)
  for i = 1, 3 do by[i] = 1 / (1 + share * (by[i] - 1)) end
  return scaled(r, by, three)
end

-- met gives the factors that bring the reference's stimuli from its first white to the meter's first white, where the
-- meters were swapped: the reference's whites before and after say how the colour changed. Its luminance stays, because the
-- new aim is in it.
local function met(whites, three)
  local first, second, last = unpack(whites.reference)
  local until_swap, since = change(first, second, three), change(second, last, three)
  local share = share_of(whites.meter[1].began, second, last)
  local by = {}
  for i = 1, 3 do by[i] = until_swap[i] * (1 + share * (since[i] - 1)) end
  local same = first.Y / scaled(first, by, three).Y
  for i = 1, 3 do by[i] = by[i] * same end
  return by
end

-- read reads white and a list of patches with both meters. It takes { reference=, meter= (modules), white=, patches=,
-- swap= (true: one mount), measure = function(meter, patch) }, and gives { reference = readings, meter = readings, whites =
-- { reference =, meter = } }, in the order of the patches.
function twometers.read(a)
  local read = { reference = {}, meter = {}, whites = { reference = {}, meter = {} } };
  (a.swap and read_swapped or read_in_turn)(a, read)
  return read
end

-- steady gives the stimuli of both meters without the drift of the unit's luminance and, where the meters were swapped, of its
-- colour: all as the unit was when the meter read white first. Meters that read in turn see the same colours, so that only a
-- meter that moves a little comes between them. The first three patches are red, green and blue.
function twometers.steady(read)
  local out, swapped = {}, #read.whites.reference > 2
  for _, name in ipairs { "reference", "meter" } do
    out[name] = {}
    for i, r in ipairs(read[name]) do out[name][i] = steadied(r, read.whites[name], swapped and read[name]) end
  end
  if swapped then
    local by = met(read.whites, read.reference)
    for i, s in ipairs(out.reference) do out.reference[i] = scaled(s, by, read.reference) end
  end
  return out
end

-- drift says how white changed from its first reading to the last one by the reference: in percent of the luminance,
-- and in u'v'. Where the meters were swapped, the aim of the reference is part of it.
function twometers.drift(read)
  local whites = read.whites.reference
  local first, last = whites[1], whites[#whites]
  return 100 * (last.Y / first.Y - 1), colour.delta_uv(first, last)
end

-- doubt is what stands against the whites, nil where nothing does.
function twometers.doubt(read)
  for _, name in ipairs { "reference", "meter" } do
    for _, r in ipairs(read.whites[name]) do
      if r.doubt then return "white, " .. name .. ": " .. r.doubt end
      if not r.X then return "the " .. name .. " measures luminance only, no colour" end
      if not r.u or r.Y <= 0 then return "white gave no light that the " .. name .. " could read" end
    end
  end
  return nil
end

return twometers
