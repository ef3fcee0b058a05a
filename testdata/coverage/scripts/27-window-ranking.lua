-- Its author wrote it for the default world. What is true there, in the author's words:
--   Ranking: 10 > 2 > 25 > 50 > 75 > 100 or a tie of 2 and 10: without the limit curve below 0.1 they differ only by warm-up and waits
--   Brightest window [%]: 10 (tied with 2 to 0.14 %). The number is 10
--   Darkest over brightest [%]: L(100)/L(10), %. The number is 83.9697
--   Gap between first and second [%]: L(first)/L(second) - 1, %; depends on the shuffled order. The number is 0.140251
-- truth: ranking = any: in a steady world all windows are equally bright
-- truth: brightest-window = any: all windows are
return procedure {
  title = "Ranking of windows",
  purpose = "Which window is brightest and which darkest, and by how much.",
  needs = { meter = {}, patches = {} },
  settings = { ["automatic brightness"] = "off", brightness = "maximum" },
  params = { windows = { default = { 2, 10, 25, 50, 75, 100 }, unit = "%", min = 1, max = 100, help = "sets the windows" } },
  run = function(p)
    local r = {}
    for _, w in ipairs(run.shuffle("windows", p.windows)) do
      patches.show { grey = 1, window = w }
      r[#r + 1] = { w = w, Y = meter.measure { relative = 0.1 }.Y }
      patches.black()
      clock.wait(10)
    end
    table.sort(r, function(a, b) return a.Y > b.Y end)
    local rank = {}
    for i, e in ipairs(r) do rank[i] = e.w end
    record.value { name = "Ranking", value = table.concat(rank, " > ") }
    record.value { name = "Brightest window", value = r[1].w, unit = "%" }
    record.value { name = "Darkest over brightest", value = 100 * r[#r].Y / r[1].Y, unit = "%" }
    record.value { name = "Gap between first and second", value = 100 * (r[1].Y / r[2].Y - 1), unit = "%" }
  end,
}
