-- What the greys of codes 8, 6 and 4 add to black: white · (code/255)^2.2. One meter's dark level drifts by some 0.02 cd/m2 in
-- minutes; the other's holds still, but its single readings of black scatter by 0.013 cd/m2.
local function of(code) return { truth = 480 * (code / 255) ^ 2.2, within = 0.005, unit = "cd/m2" } end

return trial {
  title     = "dark greys over black, with meters whose dark level drifts or is noisy",
  procedure = "../right/near-black.lua",
  worlds    = {
    ["drifting meter"] = { ["meter.dark_drift"] = 0.02, ["meter.dark_seconds"] = 900, ["meter.floor"] = 0.05 },
    ["noisy meter"]    = { ["meter.dark_noise"] = 0.026, ["meter.zero_seconds"] = 30, ["meter.floor"] = 0.05 },
  },
  expect    = { ["code-8-over-black"] = of(8), ["code-6-over-black"] = of(6), ["code-4-over-black"] = of(4) },
}
