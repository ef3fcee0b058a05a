-- Mistake in line 7: the link has no such function.
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail" } end,
  read  = function(link)
    link:send("READ\r")
    return { Y = tonumber(link:line {}) }
  end,
}
