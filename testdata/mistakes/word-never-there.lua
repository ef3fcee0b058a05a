-- Mistake in line 12: a parameter is compared with a word that it never is.
return procedure {
  title   = "White of a small window",
  purpose = "Measures the luminance of white.",
  needs   = { meter = {}, patches = {} },
  params  = {
    signal = { default = "sdr", one_of = { "sdr", "pq" }, help = "chooses the signal" },
  },
  run = function(p)
    patches.show { grey = 1, window = 10, signal = p.signal }
    local r = meter.measure {}
    if p.signal == "PQ" then record.note("absolute") end
    record.value { name = "White", value = r, unit = "cd/m2" }
  end,
}
