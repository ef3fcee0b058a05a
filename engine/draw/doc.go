// Package draw is the machinery of uncertainty by replay: it draws what the
// readings of a run might have been instead, and says what the values that a
// script concludes of such draws tell of the value that it concluded of the
// readings themselves.
//
// A result is a function of script and readings, y = f(x). So the script can
// be executed again M times, each time on readings x + e with errors e drawn
// from what is known of them, and the spread of the M values is the uncertainty of
// the one; no derivative is asked for, nor anything of the script's author. This is the
// propagation of distributions by a Monte Carlo method, [JCGM101], clause 7.
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
// [Difference] and [Ratio] subtract or divide them draw by draw, and what is
// shared cancels by itself.
//
// A thousand draws know u to 2 %, and where an interval ends to some 8 % of u: enough for two digits of u.
// [JCGM101], 7.2.2, has a million, for an interval of 95 % to one or two digits.
//
// # Numbers
//
// A number is a function of key and draw, not of what was drawn before: two
// rounds of a mixing function over the key's 128 bits and the draw give 53
// bits, and the normal quantile of these a normal number. So the order of
// evaluation and the number of cores do not matter. The arithmetic is rounded
// alike on every platform (products and sums are never fused, and no function
// of the standard library is used but the square root, which IEEE 754 rounds exactly);
// tests pin the bits, and were run with and without fused instructions and on 32 bits.
// Tests of quality: Kolmogorov and Smirnov at 0.1 % on 100,000 numbers over draws,
// steps, names and parts; moments of a million; avalanche of every bit;
// correlations of neighbours. What is concluded of the draws may differ
// between platforms in a last bit, as all floating-point sums.
//
// # What is drawn of a reading
//
//	scatter        t with n - 1 degrees of freedom times s/√n, of Y, X and Z together
//	scale          normal, relative, one number for all that a meter reads
//	chromaticity   normal, x and y, one pair for all that is read with a correction
//	correction     normal, relative, one number for all that is read with it
//	dark level     normal, Y, X and Z each, one triple a sitting
//	drift          the same times the hours since the dark level was taken
//	typed digit    rectangular, half a unit of the last digit to each side
//
// Reading.draw has the formula, scatterOf which scatter is taken when: of two
// and more readings their own, pooled with those of other levels of the same meter, the
// nearest first, until 30 degrees of freedom are together; of a single one what
// others showed, or what the bench states; more where the readings went on until they
// agreed and nothing else says how they scatter (stoppingFactor). How scatter goes with
// the level is fitted to all readings of the meter: a constant variance and one
// that grows with the light, both the less the longer it integrates, and one with
// the square of the light. How X and Z go with Y is
// taken from readings of a like colour alone.
//
// Of two or three readings a t distribution is wide beyond reason, and rightly
// so: nothing is known. A draw of it may make a script fail, which counts
// among the 5 % that may. Pool, read more, or state the repeatability.
//
// Single readings are taken to be independent. Those of a panel that drifts, or of
// a meter that integrates a part of a refresh period, are not.
//
// # Intervals, and how often they hold the truth
//
// [Evaluate] chooses the interval by how the draws lie about the estimate. Where they lie
// to both sides alike it is what [JCGM101] has, percentiles. But a value
// that errors push one way (a mean of distances, a largest of many) has been pushed once
// in the estimate and is pushed once more in every draw, so that its percentiles lie
// where the truth is not, nearly for certain. There the interval is reflected: what errors did to the
// draws they did to the estimate. Distances are reflected in squares, since their
// squares are what errors add up in, and so near 0 (or near 1, a share's upper limit) the
// interval ends there.
// Between the two no draws can tell which is right, since what was pushed by chance
// comes back in them just as what errors push: the interval holds both, each of a
// share that both together have 95 % (90 to 94 % each), were they
// normal; of t with 3 degrees of freedom it is some 94 %. The nearer the bias is to a clear
// one, the nearer the reflected interval's is to all of 95 %.
//
// Share of 1,000 simulated measurements in which the interval of 95 % held the
// truth, by 300 draws each; readings are means of five; "own" draws each
// reading from t with 4 degrees of freedom, "pooled" from the scatter of all. Standard error
// 0.7 %. TestCoverage repeats it; errors are in units of what a mean scatters
// on each axis.
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
// (Reflected: plainly, without squares or limits. Chosen: by [Evaluate].) What falls short:
//
//   - A median of distances that are a few errors long: 89 to 90 % with pooled scatter.
//   - A largest or lowest of many that are equal, far from any limit: 65 % here. Say
//     the limit where there is one ([EvaluateWithin]), and do not conclude worst
//     cases of noisy readings where a mean would serve.
//   - Own scatter of few readings makes what combines many of them too wide
//     (99 % of 95), and of largest ones far too wide. A [Sheet] pools.
//
// Where the interval reflects it need not hold the estimate; Bias says how far that is pushed.
//
// # Differences
//
// Of 2,000 pairs of equal units (4 patches, 10 readings each, pooled), 4.8 and
// 5.5 % come out as significantly different at 5 %, with one meter and with two,
// by difference and by ratio alike; with one meter the interval is a twentieth as wide as
// with two of 1 % each.
//
// Errors push two runs alike where both are alike, and that cancels. Where it
// does not, each run's push is taken off on its own scale before they are
// compared. Share of 2,000 pairs in which the interval of the difference of two charts held the
// truth, by the lengths of their colour errors as above, pooled:
//
//	           0, 0   3, 3   1, 3  3, 10  0, 3
//	mean       99.9   98.5   98.2   98.3   95.6
//	median     99.8   94.2   91.5   92.6   85.7
//	largest    99.9   99.4   97.9   95.6   89.8
//
// # Where it ends
//
// What is a reading, and which keys it has, is builtins/draws.go. Executing scripts on drawn readings is packages play and uncertainty. How often the intervals
// of whole procedures hold the truth is in testdata/coverage/README.md.
//
// # Sources
//
//   - [JCGM100]: JCGM 100:2008, Guide to the expression of uncertainty in measurement.
//   - [JCGM101]: JCGM 101:2008, Supplement 1: Propagation of distributions using a Monte Carlo method.
//   - [JCGM102]: JCGM 102:2011, Supplement 2: Extension to any number of output quantities.
//   - [CIE15]: CIE 015:2018, Colorimetry.
//
// They were not at hand: clause numbers are from memory. Tests compare with their worked
// examples (JCGM 100 H.1 to H.3, JCGM 101 9.2 to 9.4), with certified values of NIST's reference data sets, and with
// gonum's distributions.
package draw
