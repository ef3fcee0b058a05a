// Package draw evaluates uncertainties by replay. It draws errors for the
// readings of a run, and evaluates the uncertainty of a value from the values
// that the script computes with these errors.
//
// A result is a function of script and readings, y = f(x). So the script can
// be executed again M times, each time on readings x + e, where the errors e
// are drawn from their known distributions. The spread of the M values is the
// uncertainty of y. No derivatives are needed, and the author of the script
// need do nothing. This is the propagation of distributions by a Monte Carlo
// method, [JCGM101], clause 7.
//
// # Conventions
//
//   - Numbers come in and numbers go out: the package knows nothing of runs, journals or scripts.
//   - It keeps no state, and nothing that is called once a reading allocates.
//   - Draws are numbered from 0. A draw that gives no value is NaN.
//   - Uncertainties are standard uncertainties, intervals are of 95 %.
//   - The same keys give the same numbers on every platform, to the bit.
//
// # How it is used
//
//	var sheet draw.Sheet                                              // once a run
//	r := draw.Reading{Mean: draw.MeanOf(singles), Colour: true, Accuracy: …, Keys: …}
//	sheet.Enter(step, 0, meter, singles, draw.Taken{…}, r)            // once a reading
//	for j := range 1000 {                                             // once a draw
//		moved, ok := sheet.Draw(step, 0, j)                           // once a reading and draw
//		for _, s := range singles {
//			… = moved.Apply(s)                                        // once a single reading
//		}
//		… execute the script, keep each value: values[id][j], NaN where there is none
//	}
//	moves := sheet.Moves(1000)                                        // once a run
//	u, err := draw.Value{Estimate: value, Draws: values[id], Linear: moves.Linear(values[id])}.Evaluate()
//
// Draws are numbered from 0. Draw j of one run and draw j of another, or the
// same one tomorrow, use the same numbers for what both share, see [Key]; so
// [Difference] and [Ratio] subtract or divide them draw by draw, and shared
// errors cancel without further work.
//
// A thousand draws give u to 2 %, and the ends of an interval to about 8 % of
// u: enough for two digits of u. [JCGM101], 7.2.2, recommends a million for an
// interval of 95 % with one or two digits.
//
// # Numbers
//
// A number is a function of key and draw, not of what was drawn before: two
// rounds of a mixing function over the key's 128 bits and the draw give 53
// bits, and the normal quantile of these bits is a normal number. So the order
// of evaluation and the number of cores do not matter. The arithmetic is
// rounded in the same way on every platform: products and sums are never
// fused, and the only function used from the standard library is the square
// root, which IEEE 754 rounds exactly. Tests pin the bits, and were run with
// and without fused instructions and on 32 bits. Tests of quality: Kolmogorov
// and Smirnov at 0.1 % on 100,000 numbers over draws, steps, names and parts;
// moments of a million; avalanche of every bit; correlations of neighbours.
// Uncertainties that are computed from the draws may differ between platforms
// in the last bit, as all floating-point sums do.
//
// # What is drawn of a reading
//
//	scatter        t with the degrees of freedom of what is known, of Y, X and Z together
//	scale          normal, relative, one number for all readings of a meter
//	chromaticity   normal, x and y, one pair for all readings with a correction
//	correction     normal, relative, one number for all readings with a correction
//	dark level     normal, Y, X and Z each, one triple for each measurement of the dark level
//	drift          the same times the hours since the dark level was measured
//	zero           normal, Y, X and Z each, one triple for each measurement of the dark level that the run
//	               had the meter make: by how much such a measurement scatters
//	resolution     of a typed reading: rectangular, half a unit of the last digit to each side
//
// Of a spectrum, scaled to the reading's luminance:
//
//	wavelengths    normal, a shift in nm, one number for all spectra of a meter
//	response       normal, a factor smooth over the wavelengths, see [Smooth], one for all spectra of a meter
//	noise          normal, of each sample by itself, a share of it and an amount
//
// Of another number, such as an illuminance ([Number]): scale and zero, which all numbers of a device share, and what it has of its own.
//
// Reading.draw has the formula.
//
// # How readings scatter
//
// What is known of the scatter at one level is not true at another. Four things are known, and
// put together for each reading (witnesses.judge):
//
//   - Repeated readings scatter about their mean. Single readings of one stimulus do, too: of the same
//     patch by the same meter that looks alike, as far as the steps say. Where they rise or fall
//     smoothly, each is compared with the line through its neighbours (seriesSpread).
//   - Other levels of the same meter. The variance has three terms: one of the dark and one in
//     proportion to the light, which both fall with the integration time, and one in proportion to
//     the square of the light. All levels that were seen weigh how large each may be (noiseOf). Near such
//     levels that is as good as readings there. Far from them the terms say different things, and the
//     scatter is on the safe side: in the dark it may be as large as in the light, in brighter
//     light it may grow in proportion. A meter's floor limits what there is in the dark.
//   - What the bench states at some levels (noise). Between them it is interpolated on the safe
//     side. A statement is worth 12 degrees of freedom, and what was seen outweighs it.
//   - A repeatability in % without a level is taken to hold at 100 cd/m² and above. In dimmer light
//     the variance is taken to be that of counting, in proportion to the light; so a dim reading
//     may be drawn too far, where nothing else says how it scatters.
//
// If the readings of a level scatter more than all this says, they count alone. If readings went on
// until they agreed, their scatter is increased as far as nothing else says how they scatter
// (stoppingFactor). How X and Z go with Y is taken from readings of a similar colour, of which few are
// joined with what is stated, or with a guess.
//
// The t distribution of two or three readings of which nothing else is known is extremely wide, and
// rightly so. A draw from it may make a script fail; such draws count towards the limit of 5 %.
// Remedies: take more readings, or state the noise.
//
// Single readings are assumed to be independent. They are not where the meter integrates over
// part of a refresh period: their errors go on from one to the next. A mean of readings that are flagged for
// that is known no better than one of them, and nothing that changes slowly is left out of
// their scatter. Where a slow beat moves all of a few readings alike, they do not show it.
//
// The table is of a family of measurements (TestFamily): levels from 0.001 to 2,000 cd/m², meters
// with any of the three terms, integration times of 1 s to 20 s in the dark, up to 40 readings. Statements are
// right to a fifth. It has the share of 1,000 members whose interval held the truth, in %, with 200
// draws each (standard error 0.7 %), and its width over that of somebody who knows the noise: the
// median, and what one in ten exceeds.
//
//	nothing stated                 one reading        mean              difference        ratio
//	  each twice                   95.9 1.36 (3.69)   96.3 1.63 (5.29)  95.6 1.34 (3.70)  93.9 1.44 (7.11)
//	  each five times              93.8 1.06 (1.44)   95.3 1.08 (1.48)  94.5 1.06 (1.42)  95.3 1.09 (1.58)
//	  any number                   94.5 1.04 (1.31)   94.7 1.06 (1.37)  94.9 1.04 (1.31)  95.3 1.06 (1.48)
//	  one, again and again         96.2 1.07 (1.50)   94.4 1.07 (1.47)  96.4 1.06 (1.49)  96.5 1.09 (1.95)
//	  dark beside a white          98.4 150 (4042)    97.3 1.71 (3.28)  96.6 1.74 (3.37)  98.4 150 (3888)
//	  between blacks               94.7 1.11 (1.66)   94.6 1.05 (1.55)  94.0 1.09 (1.62)  95.3 1.08 (2.15)
//	  rising                       95.5 1.13 (1.66)   95.2 1.12 (1.72)  95.7 1.12 (1.69)  96.2 1.19 (2.11)
//	  flickering, five times       98.2 1.62 (2.52)   95.2 1.20 (1.95)  97.3 1.34 (2.32)  98.5 1.87 (3.10)
//	  flickering, again and again  96.4 1.11 (1.40)   92.4 1.10 (1.37)  98.0 1.11 (1.41)  98.2 1.13 (1.54)
//	repeatability                  one reading        mean              difference        ratio
//	  each once                    96.5 1.67 (11)     97.0 1.36 (4.82)  96.3 1.41 (6.02)  97.1 2.41 (29)
//	  each twice                   94.7 1.15 (2.18)   96.1 1.16 (2.06)  95.6 1.11 (1.80)  94.7 1.24 (7.20)
//	  each five times              93.8 1.05 (1.34)   95.3 1.06 (1.34)  93.9 1.04 (1.29)  95.3 1.08 (1.51)
//	  any number                   93.8 1.02 (1.25)   94.2 1.03 (1.25)  94.5 1.02 (1.23)  94.6 1.04 (1.37)
//	  one, again and again         96.5 1.04 (1.35)   94.2 1.04 (1.35)  96.1 1.04 (1.34)  96.3 1.07 (1.66)
//	  dark beside a white          98.1 2.49 (30)     94.9 1.13 (1.60)  94.9 1.13 (1.61)  98.1 2.49 (27)
//	  between blacks               96.4 1.11 (1.53)   95.8 1.06 (1.37)  96.1 1.09 (1.45)  94.7 1.05 (2.12)
//	  typed                        96.8 1.20 (4.03)   97.3 1.27 (3.74)  96.6 1.24 (3.74)  97.3 1.29 (6.26)
//	  rising                       94.9 1.10 (1.50)   94.6 1.09 (1.48)  95.7 1.10 (1.50)  95.6 1.14 (1.74)
//	  flickering, five times       97.7 1.51 (2.46)   94.4 1.01 (1.87)  97.0 1.21 (2.25)  98.3 1.81 (3.06)
//	  flickering, again and again  94.2 0.98 (1.31)   91.5 0.98 (1.29)  94.6 0.98 (1.33)  95.2 1.01 (1.46)
//	noise                          one reading        mean              difference        ratio
//	  each once                    95.7 1.15 (1.61)   96.7 1.22 (2.22)  96.5 1.15 (1.67)  96.0 1.19 (2.03)
//	  each twice                   95.8 1.12 (1.56)   96.8 1.19 (2.24)  97.2 1.13 (1.64)  95.4 1.15 (1.94)
//	  each five times              95.2 1.08 (1.39)   96.3 1.13 (1.76)  94.8 1.08 (1.42)  95.6 1.09 (1.47)
//	  any number                   95.2 1.06 (1.29)   95.5 1.10 (1.55)  96.0 1.07 (1.34)  95.3 1.08 (1.38)
//	  one, again and again         96.6 1.05 (1.32)   94.8 1.06 (1.33)  96.6 1.06 (1.32)  96.7 1.09 (1.55)
//	  dark beside a white          95.8 1.15 (1.63)   97.1 1.18 (1.91)  96.6 1.18 (1.91)  95.8 1.15 (1.62)
//	  between blacks               96.6 1.16 (1.48)   96.3 1.10 (1.40)  96.3 1.12 (1.42)  95.3 1.08 (2.05)
//	  typed                        95.6 0.98 (1.40)   97.0 1.16 (1.97)  96.1 1.07 (1.52)  95.5 1.00 (1.55)
//	  rising                       95.7 1.10 (1.48)   95.4 1.09 (1.45)  96.8 1.09 (1.49)  96.3 1.14 (1.75)
//	  flickering, five times       98.3 1.73 (2.78)   95.0 1.20 (2.05)  97.1 1.40 (2.49)  98.2 2.07 (5.90)
//	  flickering, again and again  95.9 1.08 (1.34)   92.1 1.06 (1.32)  96.9 1.07 (1.35)  97.6 1.09 (1.50)
//
// Of a floor alone the numbers are those of nothing stated, but for the dark beside a white: 98.1 14 (2975).
// What is wider than 1.4 times the need is what must be concluded from other levels or from one degree of
// freedom. The remedy for a meter that is read once a level is to state its noise at some levels.
//
// # Intervals, and how often they hold the truth
//
// [Value.Evaluate] chooses the interval by the position of the draws about the
// estimate. If they lie evenly on both sides, the interval has the percentiles
// of [JCGM101]. But errors push some values in one direction, such as a mean of
// distances or the largest of many numbers. They have pushed the estimate once,
// and they push every draw once more, so that the percentiles almost certainly
// miss the truth. For such a value the interval is reflected about the
// estimate, on the assumption that errors changed the estimate as they change
// the draws. Distances are reflected in squares, because errors add in
// squares; so an interval near 0, or near the upper limit 1 of a share, ends
// at that limit.
//
// If the bias is not clear, the draws cannot show which of the two intervals is
// right: the estimate may be pushed by errors, or be off by chance, and the draws
// look alike in both cases. Then the result covers both intervals. Each has a lower
// level, 90 to 94 %, such that both together hold the truth in 95 % for normal
// errors, and in about 94 % for t with 3 degrees of freedom. The clearer the
// bias, the nearer the level of the reflected interval is to 95 %.
//
// The table shows in which share of 1,000 simulated measurements the interval
// of 95 % held the truth, with 300 draws each. Readings are means of five.
// "own" draws each reading from t with 4 degrees of freedom, "pooled" from the
// pooled scatter of all readings. The standard error is 0.7 %. TestCoverage
// repeats it. Distances are in units of the scatter of a mean on each axis.
//
//	                                   percentile   reflected    bias-corr.   chosen
//	                                   own   pooled own   pooled own   pooled own   pooled
//	one reading                        95.9  —      96.4  —      95.9  —      95.9  —
//	mean of 4                          98.6  95.1   99.1  96.1   98.7  95.3   98.6  95.1
//	ratio, black known to 20 %         93.9  —      96.1  —      93.8  —      93.9  —
//	exponent of 9 levels               97.0  —      97.7  —      96.8  —      97.0  —
//	time to half, noise 0.5 %          97.6  —      98.0  —      97.3  —      97.6  —
//	time to half, noise 5 %            98.3  —      98.7  —      97.9  —      98.3  —
//	lowest/highest of 9, 90 to 100     96.6  95.3   97.6  95.9   96.4  95.0   96.5  95.3
//	lowest/highest of 9 that are equal 0     0      98.9  66.4   0     0      96.8  65.1
//	the same, limit of 1 said          0     0      98.9  66.4   0     0      100   99.9
//	mean of 18 distances of 0          0     0      70.6  0.8    0     0      100   100
//	                     of 1          0     0      100   70.3   0     0      100   99.8
//	                     of 3          0.8   3.6    99.1  92.1   10.4  22.1   99.9  96.9
//	                     of 10         83.2  80.7   99.7  94.7   94.8  91.6   100   96.3
//	median of the same,  of 0          0     0      29.9  11.2   0     0      99.8  99.4
//	                     of 1          0     0      91.9  81.2   0     0      99.5  99.0
//	                     of 3          36.7  49.4   89.8  85.6   68.1  76.3   95.0  89.4
//	                     of 5          88.1  92.1   89.4  85.1   84.6  83.6   92.7  89.8
//	                     of 10         98.4  97.2   93.1  87.6   88.7  84.6   96.8  95.3
//	largest of the same, of 0          0     0      100   35.1   0     0      100   99.6
//	                     of 1          0     0      100   85.0   0     0      100   99.5
//	                     of 3          3.1   8.7    100   92.8   24.5  42.4   100   97.7
//	                     of 10         87.9  91.5   99.4  94.3   90.4  89.2   98.6  94.8
//
// (Reflected: without squares or limits. Chosen: by [Evaluate], which knows nothing but the draws.) The own scatter of
// few readings makes the interval of a value that combines many of them too wide (99 % in place of 95 %), and that of
// a largest value far too wide. A [Sheet] pools.
//
// A reflected interval need not hold the estimate; Bias says how far errors
// have pushed the estimate.
//
// # Values that follow their readings in steps
//
// The largest of several nearly equal numbers is the one that errors happened to raise most. The others are lower
// then, and the draws seldom exceed it: they show little of the push, or nothing. So it is with all that is chosen
// among readings, and with a distance or an absolute difference near 0. What tells such values is how far they follow
// their readings in proportion ([Moves.Linear]): a mean by all of its variance, the largest of two equal numbers by
// 73 %, a count by about a half. From 98.5 % on nothing changes. Below, if the draws are pushed at all, the
// interval reaches further to the side of the truth, by up to 2.2 half-widths of the draws. Where the draws
// crowd at a limit, the interval begins there. And only such a value has the limit 0 because none of its draws is
// negative: a signed number that follows its readings may well be below.
//
// A value that takes few values ([Counted]) has an interval of possible values only. Of many places that are near their
// threshold, errors may have put half on the wrong side, and the draws never put all of them back; so the interval
// of a count reaches over three times the variance of the draws.
//
// The table is of a family of random functions: 24 members of each class with random parameters, one to forty
// readings, errors that are independent, shared by all readings, or both, and known to 8, 30 or infinitely many
// degrees of freedom; 120 measurements of each member, 400 draws each. It has the share of the intervals of 95 % that
// held the truth, in % (standard error 0.4): of the class as it was before any of this, as it is now, and of the
// worst member (standard error 2); then the mean width over what is needed, that is over the range of 95 % of the estimates, of the
// middle member, and of how many members it is above 1.4. TestFunctions repeats it.
//
//	                                      before  now    worst  width  above 1.4
//	smooth: mean                          95.1    95.1   90.8   1.07    0
//	smooth: signed difference             95.0    94.8   92.5   1.15    1
//	smooth: ratio, dark below             94.7    94.7   90.0   1.13    0
//	smooth: log of a ratio                94.9    95.0   90.8   1.12    0
//	smooth: product                       95.0    95.0   91.7   1.09    0
//	smooth: slope                         95.1    95.1   90.0   1.08    0
//	smooth: exponent                      95.1    95.1   92.5   1.07    1
//	largest                               91.5    95.2   89.2   1.19    6
//	smallest                              94.3    95.6   88.3   1.13    5
//	range                                 97.4    97.5   90.8   1.72   16
//	smallest over largest, %              85.7    97.5   91.7   1.54   15
//	largest departure from the mean, %    96.4    96.4   91.7   1.66   17
//	|a - b|                               90.1    96.3   91.7   1.23    4
//	|a - b|/b, %                          87.7    95.8   93.3   1.18    2
//	distance to a target                  98.9    98.8   90.8   1.40   10
//	mean distance                         98.3    98.3   91.7   1.81   20
//	median distance                       95.7    95.9   85.8   1.54   17
//	largest distance                      97.9    98.1   93.3   1.88   23
//	95th percentile of distances          97.2    97.7   90.0   1.99   23
//	root mean square of distances         98.6    98.6   88.3   1.67   18
//	difference clipped at 0               95.8    95.8   91.7   1.09    1
//	standard deviation of places          97.3    97.3   90.8   1.32   11
//	number above a threshold              92.3    98.0   83.3   1.10    7
//	share within a tolerance, %           84.0    87.7    9.2   1.01    8
//	number of the first below             99.3    99.9   99.2   1.00    2
//	number of the largest                 93.9    97.7   76.7   1.00    3
//	rounded to whole                      98.7    99.0   91.7   1.00    1
//	rounded down to 0.5                   98.4    99.4   97.5   1.00    0
//	crossing between readings             95.2    95.3   91.7   1.10    0
//	hue                                   94.0    94.1   90.0   1.03    2
//	chroma                                97.8    97.8   89.2   1.25    5
//
// The weak cases:
//
//   - A number of equal places with two thresholds, of which errors of the readings put most beyond: the share within a
//     tolerance that is smaller than the errors, 9 % in the worst member.
//   - Where the largest of many equal numbers is: 77 % in the worst member, of places that are equal within the errors.
//   - A median of distances that are a few times the errors: 86 to 92 %.
//   - Extremes and distances of many readings that are no larger than the errors have intervals that are up to two or three times
//     as wide as the estimates scatter: the draws do not tell whether the readings truly are equal.
//   - What [Moves.Linear] does not know it takes for 1: with more readings than draws, less 50, all is as in the table before this one.
//
// # Differences
//
// Of 2,000 pairs of equal units (4 patches, 10 readings each, pooled), 4.8 % were
// found significantly different at the level of 5 % with one meter, and 5.5 %
// with two meters, both by difference and by ratio. With one meter the interval is
// a twentieth as wide as with two meters of 1 % each.
//
// Errors push two equal runs in the same way, and the bias cancels. If it does
// not cancel, the bias of each run is removed on its own scale before the two
// are compared. The table shows in which share of 2,000 pairs the interval of
// the difference of two charts held the truth, with pooled scatter. The two numbers
// at the head of a column are the distances, as above, of the first chart and of
// the second:
//
//	           0, 0   3, 3   1, 3  3, 10  0, 3
//	mean       99.9   98.5   98.2   98.3   95.6
//	median     99.8   94.2   91.5   92.6   85.7
//	largest    99.9   99.4   97.9   95.6   89.8
//
// # Where it ends
//
// What is a reading, and which keys it has, is builtins/draws.go. Executing scripts on readings with these errors is packages play and uncertainty. How often the intervals
// of whole procedures hold the truth is in testdata/coverage/README.md.
//
// # Sources
//
//   - [JCGM100]: JCGM 100:2008, Guide to the expression of uncertainty in measurement.
//   - [JCGM101]: JCGM 101:2008, Supplement 1: Propagation of distributions using a Monte Carlo method.
//   - [JCGM102]: JCGM 102:2011, Supplement 2: Extension to any number of output quantities.
//   - [CIE15]: CIE 015:2018, Colorimetry.
//
// They were not at hand: clause numbers are from memory. Tests compare with their
// worked examples (JCGM 100 H.1 to H.3, JCGM 101 9.2 to 9.4), with certified values
// of NIST's reference data sets, and with the distributions of gonum.
package draw
