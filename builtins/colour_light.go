package builtins

import (
	"candelua/colour"
	"candelua/engine/script"
)

func lightFuncs() []*script.Func {
	return []*script.Func{
		pure("colour.contrast", "computes the contrast ratio of two luminances; raises an error if black is not above 0 (IDMS 5.10)", func(_ *script.Call, a contrastArgs) (float64, error) {
			return colour.Contrast(a.White, a.Black)
		}),
		pure("colour.checkerboard_contrast", "computes checkerboard contrast: mean luminance of the white squares divided by that of the black ones, shown together (IDMS 5.26)", func(_ *script.Call, a checkerboardArgs) (float64, error) {
			return colour.CheckerboardContrast(a.White, a.Black)
		}),
		pure("colour.michelson", "computes the Michelson contrast, 0 to 1, of two luminances (IDMS)", func(_ *script.Call, a contrastArgs) (float64, error) {
			return colour.Michelson(a.White, a.Black)
		}),
		pure("colour.ambient_contrast", "computes the contrast ratio in a lit room, from diffuse reflection alone (IDMS 11.9)", func(_ *script.Call, a ambientArgs) (float64, error) {
			return colour.AmbientContrast(a.White, a.Black, a.Lux, a.Reflectance)
		}),
		pure("colour.diffuse_reflectance", "computes the reflectance, 0 to 1, from the luminance that a room's light adds to a screen (IDMS 11.3)", func(_ *script.Call, a reflectanceArgs) (float64, error) {
			return colour.DiffuseReflectance(a.Lit, a.Dark, a.Lux)
		}),
		pure("colour.lambertian_luminance", "computes the luminance in cd/m2 of a matt surface under an illuminance (CIE ILV)", func(_ *script.Call, a mattArgs) (float64, error) {
			return colour.LambertianLuminance(a.Lux, a.Reflectance), nil
		}),
		pure("colour.lambertian_illuminance", "computes the illuminance in lx under which a matt surface has a luminance (CIE ILV)", func(_ *script.Call, a mattLuxArgs) (float64, error) {
			return colour.LambertianIlluminance(a.Luminance, a.Reflectance)
		}),
		pure("colour.lambertian_exitance", "computes the luminous exitance in lm/m2 of a matt surface from its luminance (CIE ILV)", func(_ *script.Call, a anyLuminance) (float64, error) {
			return colour.LambertianExitance(a.Luminance), nil
		}),
		pure("colour.disc_illuminance", "computes the illuminance in lx on the axis of a matt disc (CIE ILV)", func(_ *script.Call, a discArgs) (float64, error) {
			return colour.DiscIlluminance(a.Luminance, a.Radius, a.Distance), nil
		}),
		pure("colour.inverse_square", "computes the illuminance in lx from a small source on a tilted surface (CIE ILV)", func(_ *script.Call, a inverseArgs) (float64, error) {
			return colour.InverseSquare(a.Intensity, a.Distance, a.Tilt)
		}),
		pure("colour.stops", "computes how many stops, factors of two, a luminance is above a reference (common practice)", func(_ *script.Call, a stopsArgs) (float64, error) {
			return colour.Stops(a.Luminance, a.Reference)
		}),
		pure("colour.footlambert", "converts a luminance in cd/m2 to footlambert (CIE ILV)", func(_ *script.Call, a anyLuminance) (float64, error) {
			return colour.ToFootlambert(a.Luminance), nil
		}),
		pure("colour.from_footlambert", "converts a luminance in footlambert to cd/m2 (CIE ILV)", func(_ *script.Call, a imperialArg) (float64, error) {
			return colour.FromFootlambert(a.Value), nil
		}),
		pure("colour.from_footcandle", "converts an illuminance in footcandle to lx (CIE ILV)", func(_ *script.Call, a imperialArg) (float64, error) {
			return colour.FromFootcandle(a.Value), nil
		}),
		pure("colour.cone_solid_angle", "computes the solid angle in sr of a cone from its half angle", func(_ *script.Call, a coneArgs) (float64, error) {
			return colour.ConeSolidAngle(a.Half), nil
		}),
		pure("colour.spot_diameter", "computes the diameter in m of the spot that a meter sees from a distance", func(_ *script.Call, a spotArgs) (float64, error) {
			return colour.SpotDiameter(a.Distance, a.Angle), nil
		}),
		pure("colour.screen", "computes size, pixel pitch and pixel density of a screen, and pixels per degree at a viewing distance (IDMS 13.1)", screen),
		pure("colour.window", "computes the window that has the screen's shape and fills a share of its area (IDMS 5.9)", window),
	}
}

type contrastArgs struct {
	White float64 `lua:"white" pos:"1" unit:"cd/m2" help:"the brighter luminance"`
	Black float64 `lua:"black" pos:"2" unit:"cd/m2" help:"the darker luminance"`
}

type checkerboardArgs struct {
	White []float64 `lua:"white" unit:"cd/m2" help:"luminances of the white squares"`
	Black []float64 `lua:"black" unit:"cd/m2" help:"luminances of the black squares"`
}

type ambientArgs struct {
	White       float64 `lua:"white" unit:"cd/m2" help:"luminance of white in the dark"`
	Black       float64 `lua:"black" unit:"cd/m2" help:"luminance of black in the dark"`
	Lux         float64 `lua:"lux" min:"0" unit:"lx" help:"illuminance on the screen"`
	Reflectance float64 `lua:"reflectance" min:"0" max:"1" help:"diffuse reflectance of the screen"`
}

type reflectanceArgs struct {
	Lit  float64 `lua:"lit" unit:"cd/m2" help:"luminance with the lamps on"`
	Dark float64 `lua:"dark" unit:"cd/m2" help:"luminance with the lamps off"`
	Lux  float64 `lua:"lux" above:"0" unit:"lx" help:"illuminance on the screen"`
}

type mattArgs struct {
	Lux         float64 `lua:"lux" min:"0" unit:"lx" help:"illuminance on the surface"`
	Reflectance float64 `lua:"reflectance" default:"1" min:"0" max:"1" help:"reflectance of the surface"`
}

type mattLuxArgs struct {
	Luminance   float64 `lua:"luminance" min:"0" unit:"cd/m2" help:"luminance of the surface"`
	Reflectance float64 `lua:"reflectance" default:"1" above:"0" max:"1" help:"reflectance of the surface"`
}

type anyLuminance struct {
	Luminance float64 `lua:"luminance" pos:"1" unit:"cd/m2" help:"the luminance"`
}

type discArgs struct {
	Luminance float64 `lua:"luminance" unit:"cd/m2" help:"luminance of the disc"`
	Radius    float64 `lua:"radius" above:"0" unit:"m" help:"radius of the disc"`
	Distance  float64 `lua:"distance" min:"0" unit:"m" help:"distance to the centre of the disc"`
}

type inverseArgs struct {
	Intensity float64 `lua:"intensity" unit:"cd" help:"luminous intensity of the source"`
	Distance  float64 `lua:"distance" above:"0" unit:"m" help:"distance to the surface"`
	Tilt      float64 `lua:"tilt" default:"0" unit:"°" help:"tilt of the surface; 0 if it faces the source"`
}

type stopsArgs struct {
	Luminance float64 `lua:"luminance" pos:"1" above:"0" unit:"cd/m2" help:"the luminance"`
	Reference float64 `lua:"reference" pos:"2" above:"0" unit:"cd/m2" help:"luminance of the reference"`
}

type imperialArg struct {
	Value float64 `lua:"value" pos:"1" help:"the value to convert"`
}

type coneArgs struct {
	Half float64 `lua:"half" pos:"1" min:"0" max:"180" unit:"°" help:"half angle of the cone"`
}

type spotArgs struct {
	Distance float64 `lua:"distance" above:"0" unit:"m" help:"distance from the screen"`
	Angle    float64 `lua:"angle" above:"0" max:"179" unit:"°" help:"full acceptance angle"`
}

type screenArgs struct {
	Diagonal float64  `lua:"diagonal" above:"0" unit:"in" help:"diagonal of the lit area"`
	Width    int      `lua:"width" min:"1" max:"1000000" unit:"px" help:"pixels across"`
	Height   int      `lua:"height" min:"1" max:"1000000" unit:"px" help:"pixels down"`
	Distance *float64 `lua:"distance" above:"0" unit:"m" help:"viewing distance, for pixels per degree"`
}

// ColourScreen is a display's surface.
type ColourScreen struct {
	Width  float64  `lua:"width" unit:"m" help:"width of the lit area"`
	Height float64  `lua:"height" unit:"m" help:"height of the lit area"`
	Area   float64  `lua:"area" unit:"m2" help:"area of the lit area"`
	Pitch  float64  `lua:"pitch" unit:"m" help:"distance from pixel to pixel"`
	PPI    float64  `lua:"pixels_per_inch" help:"pixel density"`
	PPD    *float64 `lua:"pixels_per_degree" help:"pixels per degree at the centre; nil if no distance was given"`
}

// LuaName is what scripts call it.
func (ColourScreen) LuaName() string { return "screen" }

func screen(_ *script.Call, a screenArgs) (ColourScreen, error) {
	s, err := colour.NewScreen(a.Diagonal, a.Width, a.Height)
	if err != nil {
		return ColourScreen{}, err
	}
	w, h := s.Size()
	out := ColourScreen{Width: w, Height: h, Area: s.Area(), Pitch: s.Pitch(), PPI: s.PixelsPerInch()}
	if a.Distance != nil {
		ppd := s.PixelsPerDegree(*a.Distance)
		out.PPD = &ppd
	}
	return out, nil
}

type windowArgs struct {
	Diagonal float64 `lua:"diagonal" above:"0" unit:"in" help:"diagonal of the lit area"`
	Width    int     `lua:"width" min:"1" max:"1000000" unit:"px" help:"pixels across"`
	Height   int     `lua:"height" min:"1" max:"1000000" unit:"px" help:"pixels down"`
	Window   float64 `lua:"window" above:"0" max:"100" unit:"%" help:"share of the screen's area that the window fills"`
}

// ColourWindow is a window on a screen.
type ColourWindow struct {
	Side   float64 `lua:"side" help:"width and height of the window, as a share of the screen's"`
	Width  int     `lua:"width" unit:"px" help:"width of the window, rounded"`
	Height int     `lua:"height" unit:"px" help:"height of the window, rounded"`
	Area   float64 `lua:"area" unit:"m2" help:"area of the exact window"`
	Share  float64 `lua:"share" unit:"%" help:"share of the screen that the rounded window fills"`
}

// LuaName is what scripts call it.
func (ColourWindow) LuaName() string { return "window" }

func window(_ *script.Call, a windowArgs) (ColourWindow, error) {
	s, err := colour.NewScreen(a.Diagonal, a.Width, a.Height)
	if err != nil {
		return ColourWindow{}, err
	}
	w, err := s.Window(a.Window / 100)
	return ColourWindow{w.Side, w.Width, w.Height, w.Area, 100 * w.Share}, err
}
