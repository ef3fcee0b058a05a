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
//	u, err := draw.Evaluate(value, values[id])
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
//	scatter        t with n - 1 degrees of freedom times s/√n, of Y, X and Z together
//	scale          normal, relative, one number for all readings of a meter
//	chromaticity   normal, x and y, one pair for all readings with a correction
//	correction     normal, relative, one number for all readings with a correction
//	dark level     normal, Y, X and Z each, one triple for each measurement of the dark level
//	drift          the same times the hours since the dark level was measured
//	resolution     of a typed reading: rectangular, half a unit of the last digit to each side
//
// Reading.draw has the formula. scatterOf chooses the scatter. Two or more
// single readings have their own scatter, pooled with that of other levels of the
// same meter, the nearest levels first, until there are 30 degrees of freedom.
// A single reading has the scatter of the others, or the one that the bench
// states. If the readings went on until they agreed, and nothing else says how
// they scatter, their scatter is increased (stoppingFactor). The dependence of
// the variance on the level is fitted to all readings of the meter, with three
// terms: one constant and one in proportion to the light, which both fall with
// the integration time, and one in proportion to the square of the light. The
// correlation of X and Z with Y is taken from readings of a similar colour only.
//
// The t distribution of two or three readings is extremely wide, and rightly
// so, because nearly nothing is known. A draw from it may make a script fail; such draws
// count towards the limit of 5 %. Remedies: pool, take more readings, or state the
// repeatability.
//
// Single readings are assumed to be independent. They are not if the panel
// drifts, or if the meter integrates over part of a refresh period.
//
// # Intervals, and how often they hold the truth
//
// [Evaluate] chooses the interval by the position of the draws about the
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
// (Reflected: without squares or limits. Chosen: by [Evaluate].) The weak cases:
//
//   - A median of distances that are a few times the errors: 89 to 90 % with
//     pooled scatter.
//   - A largest or lowest of many equal numbers, far from any limit: 65 % here.
//     State the limit if there is one ([EvaluateWithin]), and do not take worst
//     cases of noisy readings if a mean would serve.
//   - The own scatter of few readings makes the interval of a value that combines
//     many of them too wide (99 % in place of 95 %), and that of a largest value
//     far too wide. A [Sheet] pools.
//
// A reflected interval need not hold the estimate; Bias says how far errors
// have pushed the estimate.
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
