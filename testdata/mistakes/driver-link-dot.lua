-- Mistake in line 7: a function of the link is called with a dot.
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail" } end,
  read  = function(link)
    return { Y = tonumber(link.ask("READ\r")) }
  end,
}
