-- A dim and steep display, and a colorimeter whose dark level wanders by 0.03 cd/m2.
return trial {
  title     = "the exponent, where the dark steps are under the meter's floor",
  procedure = "tone-response",
  params    = { steps = 52 },
  worlds    = {
    ["noisy meter"] = {
      ["light.white"] = 120, ["light.hdr_peak"] = 150, ["tone.exponent"] = 2.4, ["meter.floor"] = 0.05,
      ["meter.dark_noise"] = 0.01, ["meter.dark_drift"] = 0.03,
    },
  },
  expect    = { ["gamma"] = { truth = "tone.exponent", within = 0.015 } },
}
