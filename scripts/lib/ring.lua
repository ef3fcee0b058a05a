-- A set of colours of a colour space, laid out in CIELAB with the white of the space,
-- by a rule of our own:
--
--   * a neutral column of one colour in eight, n/8 rounded (halves up): number
--     i of m has L* = 100 i/(m + 1), so that neither black nor white is in it;
--   * rings of equal chroma C* = 15, 30, 45, … at the levels L* = 20, 35, 50, 65,
--     80, up to the first ring that lies wholly outside the space. A ring has
--     2 pi C* / spacing colours, rounded (halves up) and at least three, evenly
--     spaced in hue. The first, third, fifth … ring of a level begins half an
--     interval from hue 0 (+a*), the others begin at hue 0;
--   * colours outside the space are left out: those with a linear signal below 0 or
--     above 1. The spacing is the widest of 20, 19, 18.05, … (5 % less each time)
--     that leaves enough colours;
--   * N colours are left, numbered from 0 in the order of levels, rings and hues. The
--     set needs k of them besides the column, and takes the numbers floor(i N / k)
--     with i = 0 … k - 1.

local ring = {}

local levels = { 20, 35, 50, 65, 80 }
local chroma_step, first_spacing = 15, 20

-- white gives the white of a space, of luminance 1.
function ring.white(space)
  return colour.rgb_to_xyz { r = 1, g = 1, b = 1, space = space }
end

-- cube undoes the cube root that CIELAB takes of a share of the white (CIE 15).
local function cube(f)
  if f > 6 / 29 then return f ^ 3 end
  return 3 * (6 / 29) ^ 2 * (f - 4 / 29)
end

-- linear_of makes a function that gives the linear signals of a colour in a space,
-- nil where it lies outside.
local function linear_of(space)
  local white, m = ring.white(space), colour.rgb_matrix(space, { inverse = true })
  return function(L, a, b)
    local f, rgb = (L + 16) / 116, {}
    local X, Y, Z = white.X * cube(f + a / 500), white.Y * cube(f), white.Z * cube(f - b / 200)
    for i = 1, 3 do
      rgb[i] = m[i][1] * X + m[i][2] * Y + m[i][3] * Z
      if rgb[i] < 0 or rgb[i] > 1 then return nil end
    end
    return rgb
  end
end

-- inside_of makes a function that says how many colours of a ring lie inside a space.
-- Thousands are tried, too many for tables and calls of each.
local function inside_of(space)
  local white, m = ring.white(space), colour.rgb_matrix(space, { inverse = true })
  local wX, wZ = white.X, white.Z
  local rX, rZ, gX, gZ, bX, bZ = m[1][1], m[1][3], m[2][1], m[2][3], m[3][1], m[3][3]
  local cos, sin, dark = math.cos, math.sin, 6 / 29
  local slope, foot = 3 * dark ^ 2, 4 / 29
  return function(L, C, n, shift)
    local f, found = (L + 16) / 116, 0
    local Y = white.Y * cube(f)
    local rY, gY, bY, turn = m[1][2] * Y, m[2][2] * Y, m[3][2] * Y, 2 * math.pi / n
    local ca, cb = C / 500, C / 200
    for i = shift, n - 1 + shift do
      local h = turn * i
      local fX, fZ = f + ca * cos(h), f - cb * sin(h)
      local X = wX * (fX > dark and fX * fX * fX or slope * (fX - foot))
      local Z = wZ * (fZ > dark and fZ * fZ * fZ or slope * (fZ - foot))
      local r = rX * X + rY + rZ * Z
      if r >= 0 and r <= 1 then
        local g = gX * X + gY + gZ * Z
        if g >= 0 and g <= 1 then
          local b = bX * X + bY + bZ * Z
          if b >= 0 and b <= 1 then found = found + 1 end
        end
      end
    end
    return found
  end
end

-- each_ring calls for each ring up to the first of a level that lies wholly outside.
-- visit gives how many of its colours lie inside.
local function each_ring(spacing, visit)
  for _, L in ipairs(levels) do
    local C = chroma_step
    repeat
      local n = math.max(3, math.floor(2 * math.pi * C / spacing + 0.5))
      local found = visit(L, C, n, 0.5 * (C / chroma_step % 2))
      C = C + chroma_step
    until found == 0
  end
end

local function rings(linear, spacing)
  local all, outside = {}, 0
  each_ring(spacing, function(L, C, n, shift)
    local found = 0
    for i = 0, n - 1 do
      local h = 2 * math.pi * (i + shift) / n
      local rgb = linear(L, C * math.cos(h), C * math.sin(h))
      if rgb then
        table.insert(all, { L = L, C = C, h = math.deg(h), linear = rgb })
        found = found + 1
      end
    end
    if found > 0 then outside = outside + n - found end
    return found
  end)
  return all, outside
end

local function column(n)
  local all = {}
  for i = 1, n do
    local L = 100 * i / (n + 1)
    local light = colour.lightness_to_light(L)
    table.insert(all, { L = L, C = 0, h = 0, linear = { light, light, light } })
  end
  return all
end

-- set gives a list of { L, C, h, linear = { r, g, b } }, and how many colours
-- of the rings were left out because they lie outside the space.
function ring.set(space, colours)
  local set = column(math.floor(colours / 8 + 0.5))
  local wanted = colours - #set
  local spacing, inside = first_spacing, inside_of(space)
  local function enough()
    local found = 0
    each_ring(spacing, function(L, C, n, shift)
      local here = inside(L, C, n, shift)
      found = found + here
      return here
    end)
    return found >= wanted
  end
  while not enough() do spacing = 0.95 * spacing end
  local all, outside = rings(linear_of(space), spacing)
  for i = 0, wanted - 1 do
    table.insert(set, all[math.floor(i * #all / wanted) + 1])
  end
  return set, outside
end

return ring
