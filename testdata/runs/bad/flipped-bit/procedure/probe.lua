return procedure {
  title = "T", purpose = "P",
  needs = { meter = {}, patches = {} },
  run = function(p)

    run.part("nothing", function() end)
    local t = record.table("T", { { "i" }, { "Y", "cd/m2" } })
    run.part("outer", function()
      for i = 1, 2 do
        run.part("inner", function()
          patches.show { grey = i / 2, window = 10 }
          t:add { i = i, Y = meter.read({ after = 1, repeats = 2 }).Y }
          clock.wait(30)
        end)
      end
    end)
    local ok, e = pcall(unit.set, { Brightnes = 1 })
    record.note(tostring(ok) .. " " .. e.code .. " " .. e.message)
    if run.decide("again", meter.read().Y > 0) then patches.black() end
    pcall(function() run.part("left", function() error("left") end) end)
    record.value { name = "Last", value = meter.read().Y, unit = "cd/m2" }
  end,
}
