package bench

// Path is how a patch reaches the unit's panel. A unit may treat the same code differently over two paths, so values
// of different paths are not compared without a word.
type Path string

// The signal paths.
const (
	PathByHand    Path = "by hand"          // a person shows it, from whatever source
	PathPage      Path = "page, SDR"        // painted by the page in the unit's browser
	PathPageP3    Path = "page, P3 still"   // an image with a colour profile on that page
	PathPageHDR   Path = "page, HDR still"  // an image of PQ or HLG samples on that page
	PathPlayer    Path = "file on a player" // an image or a video on a media player
	PathGenerator Path = "generator"        // a source of signals with a cable to the unit
	PathSimulated Path = "simulated"
)
