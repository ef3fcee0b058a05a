-- A PQ signal means its luminance (SMPTE ST 2084), and a display that is told that nothing exceeds its peak need not roll off.
-- Its peak here is 1,350 cd/m2.
return trial {
  title     = "1,000 cd/m2 of an HDR signal, in content of up to 1,000 cd/m2",
  procedure = "../right/hdr-with-metadata.lua",
  world     = "fulmar-55",
  expect    = { ["luminance-of-1000-cd-m2"] = { truth = 1000, within = 1, unit = "%" } },
}
