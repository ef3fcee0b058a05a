-- Mistake in line 3: there is no such kind of instrument.
return driver {
  kind  = "colorimeter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail" } end,
  read  = function(link)
    return { Y = tonumber(link:ask("READ\r")) }
  end,
}
