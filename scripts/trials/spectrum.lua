-- Spectra whose peaks and widths are parameters of the world: each primary is a Gaussian. The meter has a sample every 5 nm, and straight
-- lines between
-- samples widen a peak of 20 nm by about half a nanometre.
local function primaries(red, green, blue) return { red = red, green = green, blue = blue } end

local of = {
  ["phone"]           = primaries({ 620, 40 }, { 538, 70 }, { 458, 36 }),
  ["lit from behind"] = primaries({ 632, 44 }, { 533, 48 }, { 452, 22 }),
  ["narrow"]          = primaries({ 633, 24 }, { 526, 30 }, { 464, 20 }),
}

local function truths(name, which)
  local all = {}
  for world, p in pairs(of) do all[world] = p[name][which] end
  return { truths = all, within = which == 1 and 0.3 or 1 }
end

return trial {
  title     = "peaks, widths, coverage and white from spectra",
  procedure = "spectrum",
  worlds    = {
    ["phone"]           = "default",
    ["lit from behind"] = "dunlin-27",
    ["narrow"]          = { base = "default", ["primaries.red"] = { 633, 24 }, ["primaries.green"] = { 526, 30 },
      ["primaries.blue"] = { 464, 20 } },
  },
  expect    = {
    ["red-peak"] = truths("red", 1), ["green-peak"] = truths("green", 1), ["blue-peak"] = truths("blue", 1),
    ["red-width"] = truths("red", 2), ["green-width"] = truths("green", 2), ["blue-width"] = truths("blue", 2),
    ["coverage-bt709-uv"]  = { truth = { coverage = { space = "bt709", diagram = "uv" } }, within = 0.1 },
    ["coverage-p3-uv"]     = { truth = { coverage = { space = "p3-d65", diagram = "uv" } }, within = 0.1 },
    ["coverage-bt2020-uv"] = { truth = { coverage = { space = "bt2020", diagram = "uv" } }, within = 0.1 },
    ["white-luminance"]    = { truth = { luminance = { grey = 1, window = 10 } }, within = 0.5, unit = "%" },
    ["white-cct"]          = { truth = { cct = { window = 10 } }, within = 0.3, unit = "%" },
  },
}
