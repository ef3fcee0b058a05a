// Writes chart.csv: differences of readings of a display from what their signals mean, for each choice
// of white, target curve and luminance. Run by generate.sh.
import { writeFileSync } from "node:fs";
import Color from "colorjs.io";
import { deltaE2000 } from "../node_modules/colorjs.io/src/deltaE/index.js";
import { differenceCiede2000 } from "culori";

let state = 20260202;
function random() {
  state = (state + 0x6d2b79f5) | 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const between = (lo, hi, digits) => +(lo + (hi - lo) * random()).toFixed(digits);
const d65 = new Color("srgb-linear", [1, 1, 1]).to("xyz-d65").coords;
const linear = { "bt709": "srgb-linear", "p3-d65": "p3-linear" };
const gamma = 2.3;

// The share of white that a signal should give, from the share b that black has: a power and sRGB rise
// from black, BT.1886 by its Annex 1.
function light(curve, v, b) {
  if (curve === "bt1886") {
    const root = b ** (1 / 2.4);
    return ((1 - root) * v + root) ** 2.4;
  }
  return b + (1 - b) * (curve === "srgb" ? new Color("srgb", [v, 0, 0]).to("srgb-linear").coords[0] : v ** gamma);
}

const culori = differenceCiede2000();
const rows = [];
for (const space of ["bt709", "p3-d65"]) for (const white of ["measured", "target"]) for (const curve of ["power", "srgb", "bt1886"]) {
  for (const counts of [true, false]) for (let i = 0; i < 8; i++) {
    const peak = between(80, 600, 2), black = i % 2 ? between(0, 0.5, 4) : 0;
    const seen = [between(0.88, 1.02, 4) * peak, peak, between(0.95, 1.2, 4) * peak].map((v) => +v.toFixed(4));
    const rgb = [0, 0, 0].map(() => Math.round(255 * random()) / 255);
    const target = new Color(linear[space], rgb.map((v) => light(curve, v, black / peak)));
    const want = target.to("xyz-d65").coords;
    const read = want.map((v, k) => +(v * seen[k] / d65[k] * (1 + between(-0.08, 0.08, 4))).toFixed(5));
    // CIELAB knows only ratios to the white, so that a stimulus under any white is one under D65.
    const reference = white === "measured" ? seen.map((v) => v / peak) : d65;
    const scale = counts ? 1 / peak : want[1] / read[1];
    const found = new Color("xyz-d65", read.map((v, k) => v * scale / reference[k] * d65[k])).to("lab-d65").coords;
    const wanted = target.to("lab-d65").coords;
    const [a, b] = [wanted, found].map(([L, a, b]) => new Color("lab", [L, a, b]));
    const [c, d] = [wanted, found].map(([l, a, b]) => ({ mode: "lab65", l, a, b }));
    rows.push([space, white, curve, counts, black, ...seen, ...rgb, ...read, ...[deltaE2000(a, b), culori(c, d)].map((v) => +v.toPrecision(11))]);
  }
}
writeFileSync("chart.csv", [
  "# CIEDE2000 of readings from what signals mean: CIELAB and c2000 of colorjs.io 0.7.1, u2000 of culori 4.0.2 from the same CIELAB.",
  "# power has the exponent 2.3; black, white and reading in cd/m2.",
  ["space", "white", "curve", "luminance_counts", "black", "WX", "WY", "WZ", "r", "g", "b", "X", "Y", "Z", "c2000", "u2000"].join(","),
  ...rows.map((r) => r.join(","))].join("\n") + "\n");
