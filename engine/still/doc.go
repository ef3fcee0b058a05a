// Package still writes still images whose samples are exactly the codes of a patch: PNG of 8 or 16 bits for each of red, green and blue.
//
// # Conventions
//
//   - A [paint.Picture] says which pixels have which codes. [PNG] writes it, and changes no code: nothing is dithered, smoothed or converted.
//   - Up to 8 bits an image has samples of 8 bits, above that of 16 bits ([Sample]).
//   - A [Meaning] says what the samples stand for. The file states it by code points (the chunk cICP), and for P3 also by an ICC profile,
//     for those that know no code points. Readers that know the chunk must prefer it.
//   - What an HDR signal states of its content is in the chunks mDCV and cLLI. What it does not state is left out.
//   - The same picture gives the same bytes, on any machine and with any version of Go: the compression is this package's own.
//
// # Speed
//
// Pictures of patches are large and mostly flat. Rows that are alike are one code of a fixed row, and no row is compared with
// another: 3840 x 2160 pixels take milliseconds (BenchmarkPNG).
//
// # References
//
//   - [PNG3] W3C, Portable Network Graphics (PNG) Specification (Third Edition), 2025
//   - [H273] Rec. ITU-T H.273, Coding-independent code points for video signal type identification
//   - [RFC1950], [RFC1951] ZLIB and DEFLATE Compressed Data Format Specifications
//   - [ICC1] ICC.1:2010 (profile version 4.3.0.0), Image technology colour management
//   - [SRGB] IEC 61966-2-1:1999
package still
