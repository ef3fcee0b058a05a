// Package colour is colour science for people who measure displays: from
// spectra and tristimulus values to chromaticities, colour temperatures, colour
// differences, transfer functions, gamuts and the corrections of colorimeters.
//
// It does no input or output, keeps no state and imports only the standard
// library, so that it can be used on its own.
//
// # Conventions
//
// These hold in the whole package:
//
//   - Wavelengths are in nanometres, in air. Luminances are in cd/m², spectral
//     radiances in W/(sr m² nm), temperatures in kelvin, angles in degrees unless
//     a name says otherwise.
//   - XYZ has no type for its observer or scale. Unless a function says otherwise,
//     it belongs to the CIE 1931 (2°) observer, and Y is a luminance in cd/m². Any
//     other scale may be used if it is the same for all that is compared.
//   - u and v without a year are CIE 1976 u′ and v′. The older CIE 1960 u and v,
//     in which colour temperature is defined, are always called UV1960.
//   - A signal is a number from 0 (black) to 1 (white). Code values are integers
//     and are always called codes. Linear light that is not in cd/m² is from 0 to 1.
//   - D65 in video is the point (0.3127, 0.3290), [D65]. The spectrum of illuminant
//     D65 has a slightly different chromaticity, (0.31272, 0.32903).
//   - Negative tristimulus values are valid, because dark readings scatter around
//     zero. Each function says what it does with them.
//   - A function that has no answer returns an error ([ErrNoChromaticity] and
//     others), never a NaN. A function without an error result returns NaN only
//     for NaN.
//   - Functions that are called once for each sample do not allocate memory.
//
// # What there is
//
//   - Spectra: [Spectrum], [Observer] with [CIE1931] and [CIE1964], [Spectrum.Resample], [Spectrum.Peak],
//     [Spectrum.FWHM], [Spectrum.Melanopic]; [IlluminantA], [EqualEnergy], [Daylight], [Planck].
//   - Chromaticity: [XYZ], [XY], [UV], [UV1960]; [XY.CCT] and [FromCCT]; [XY.Dominant]; [DaylightOffset]
//     and [DescribeWhite] for whites and greys.
//   - Colour spaces: [Space] with [BT709], [P3D65], [P3DCI] and [BT2020]; [White] for CIELAB and CIELUV;
//     [ICtCp]; [CAM16]; [ConeSpace] for chromatic adaptation.
//   - Differences: [DeltaE2000], [DeltaEITP], [UV.Distance], [DeltaE94], [DeltaE76], [DeltaEuv], [DeltaE16],
//     and the signed parts of most of them.
//   - Tone: [Transfer] with [PQ], [HLG], [BT1886], [SRGB], [PowerLaw], [RollOff] and [Scaled]; [Coding]
//     for code values; [EffectiveGamma], [PointGamma], [LocalGamma], [Deviation].
//   - Gamuts: [Polygon.Compare] in either diagram; [GamutVolume], and [MeasuredVolume] of a measured mesh.
//   - Meters: [FourColour], [MatrixCorrection], [CheckAdditivity].
//   - Light and geometry: [Contrast], [CheckerboardContrast], [AmbientContrast], [DiffuseReflectance], [LambertianLuminance] and
//     others; [Screen] and [Screen.Window].
//
// There is no colour rendering index, because no source was at hand for the tables of its test colours.
// The melanopic action spectrum of [Spectrum.Melanopic] is from memory; only its results were confirmed.
//
// # Where it ends
//
// The package knows no meter, no reading and no script. Uncertainties are not its business. What scripts call is builtins/colour*.go. Its results are compared with those
// of other libraries in testdata/crosscheck, and with published tables in testdata/published.
//
// # Sources
//
// Each function names its source in a line that begins with Source, by a key
// that [Bibliography] resolves. The formulas are checked against published values and
// independent libraries. The printed standards were not at hand, so that clause and table
// numbers are from memory. If a number itself is from memory and could not be confirmed, its
// comment says so.
package colour
