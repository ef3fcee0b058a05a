package colour

// Reference is an entry of the bibliography.
type Reference struct {
	Key     string // as in the Source lines
	Authors string
	Year    int
	Title   string
}

// Bibliography returns the works that the package cites, by key.
func Bibliography() []Reference { return append([]Reference(nil), bibliography...) }

var bibliography = []Reference{
	{"BT1886", "ITU-R", 2011, "Recommendation BT.1886: Reference electro-optical transfer function for flat panel displays used in HDTV studio production"},
	{"BT2020", "ITU-R", 2015, "Recommendation BT.2020-2: Parameter values for ultra-high definition television systems for production and international programme exchange"},
	{"BT2100", "ITU-R", 2018, "Recommendation BT.2100-2: Image parameter values for high dynamic range television for use in production and international programme exchange"},
	{"BT2124", "ITU-R", 2019, "Recommendation BT.2124-0: Objective metric for the assessment of the potential visibility of colour differences in television"},
	{"BT2390", "ITU-R", 2020, "Report BT.2390-8: High dynamic range television for production and international programme exchange"},
	{"BT709", "ITU-R", 2015, "Recommendation BT.709-6: Parameter values for the HDTV standards for production and international programme exchange"},
	{"CIE116", "CIE", 1995, "CIE 116: Industrial colour-difference evaluation"},
	{"CIE11664", "ISO/CIE", 2019, "ISO/CIE 11664: Colorimetry, parts 1 (observers), 2 (illuminants), 4 (CIELAB) and 5 (CIELUV)"},
	{"CIE142", "CIE", 2001, "CIE 142: Improvement to industrial colour-difference evaluation"},
	{"CIE15", "CIE", 2004, "CIE 15:2004: Colorimetry, 3rd edition"},
	{"CIE159", "CIE", 2004, "CIE 159: A colour appearance model for colour management systems: CIECAM02"},
	{"CIE167", "CIE", 2005, "CIE 167: Recommended practice for tabulating spectral data for use in colour computations"},
	{"CIE18", "CIE", 1983, "CIE 18.2: The basis of physical photometry, 2nd edition"},
	{"CIES026", "CIE", 2018, "CIE S 026: CIE system for metrology of optical radiation for ipRGC-influenced responses to light"},
	{"E1455", "ASTM", 2017, "E1455: Standard practice for obtaining colorimetric data from a visual display unit using tristimulus colorimeters"},
	{"EG432", "SMPTE", 2010, "EG 432-1: Digital source processing, color processing for D-cinema"},
	{"ICC1", "International Color Consortium", 2010, "ICC.1:2010: Image technology colour management, architecture, profile format and data structure"},
	{"IDMS", "International Committee for Display Metrology", 2012, "Information Display Measurements Standard, version 1.03"},
	{"ILV", "CIE", 2020, "CIE S 017: International lighting vocabulary"},
	{"ISO11664-6", "ISO/CIE", 2014, "ISO/CIE 11664-6: Colorimetry, part 6: CIEDE2000 colour-difference formula"},
	{"Li2017", "C. Li, Z. Li, Z. Wang, Y. Xu, M. R. Luo, G. Cui, M. Melgosa, M. H. Brill, M. Pointer", 2017, "Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS. Color Research and Application 42(6), 703-718"},
	{"Ohno2014", "Y. Ohno", 2014, "Practical use and calculation of CCT and Duv. LEUKOS 10(1), 47-55"},
	{"OhnoHardis1997", "Y. Ohno, J. E. Hardis", 1997, "Four-color matrix method for correction of tristimulus colorimeters. Proc. IS&T Fifth Color Imaging Conference, 301-305"},
	{"RP177", "SMPTE", 1993, "RP 177: Derivation of basic television color equations"},
	{"RP431", "SMPTE", 2011, "RP 431-2: D-cinema quality, reference projector and environment"},
	{"SI", "BIPM", 2019, "The International System of Units, 9th edition"},
	{"SRGB", "IEC", 1999, "IEC 61966-2-1: Multimedia systems and equipment, colour measurement and management, default RGB colour space sRGB"},
	{"ST2084", "SMPTE", 2014, "ST 2084: High dynamic range electro-optical transfer function of mastering reference displays"},
	{"Sharma2005", "G. Sharma, W. Wu, E. N. Dalal", 2005, "The CIEDE2000 color-difference formula: implementation notes, supplementary test data, and mathematical observations. Color Research and Application 30(1), 21-30"},
	{"SutherlandHodgman1974", "I. E. Sutherland, G. W. Hodgman", 1974, "Reentrant polygon clipping. Communications of the ACM 17(1), 32-42"},
}
