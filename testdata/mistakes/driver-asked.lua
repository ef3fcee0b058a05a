-- Mistake in line 7: a field of the request is misspelt.
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail" } end,
  read  = function(link, ask)
    if ask.expected > 100 then link:write("RANGE HIGH\r") end
    return { Y = tonumber(link:ask("READ\r")) }
  end,
}
