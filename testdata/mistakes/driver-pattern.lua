-- Mistake in line 7: a pattern has a class of another language.
return driver {
  kind  = "meter",
  title = "Wagtail colorimeter",
  about = function() return { name = "Wagtail" } end,
  read  = function(link)
    local Y = link:ask("READ\r"):match("^OK (\d+)$")
    return { Y = tonumber(Y) }
  end,
}
