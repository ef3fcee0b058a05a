-- A window of seven seconds on a panel that is marked easily. The source is an adapter on the network: what is asked for appears
-- three seconds later.
return trial {
  title     = "what a white window of seven seconds leaves behind, from a slow source",
  procedure = "retention",
  params    = { stress = 7 },
  worlds    = {
    ["over a network"] = {
      ["retention.terms"] = { { 14, 22, 8, 0.01 } }, ["meter.repeatability"] = 0.05,
      ["source.latency"] = 3, ["source.latency_within"] = 0.2,
    },
  },
  expect    = {
    ["initial-residual"] = { truth = { residual = { at = { 0.25, 0.25 }, seconds = 7, probe = 0.2, within = 0.3 } }, within = 0.2 },
  },
}
