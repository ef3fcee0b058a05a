// Writes the tables of this folder that come from the JavaScript libraries. Run by generate.sh.
import { writeFileSync } from "node:fs";
import Color from "colorjs.io";
import { environment, toCam16 } from "../node_modules/colorjs.io/src/spaces/cam16.js";
import { adapt } from "../node_modules/colorjs.io/src/CATs.js";
import { deltaE76, deltaE2000 } from "../node_modules/colorjs.io/src/deltaE/index.js";
import { differenceCie94, differenceCiede2000 } from "culori";

// A small generator of random numbers, so that the inputs stay the same for good.
let state = 20260101;
function random() {
  state = (state + 0x6d2b79f5) | 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const between = (lo, hi, digits) => +(lo + (hi - lo) * random()).toFixed(digits);
const print = (v) => +v.toPrecision(11);

function write(name, notes, columns, rows) {
  const head = notes.map((n) => `# ${n}\n`).join("") + columns.join(",") + "\n";
  writeFileSync(name, head + rows.map((r) => r.join(",") + "\n").join(""));
}

// The alternation of far, near and blue pairs gives each part of CIEDE2000 something to do.
function labPair(i) {
  const a = [between(0, 100, 2), between(-110, 110, 2), between(-110, 110, 2)];
  if (i % 3 === 0) return [...a, between(0, 100, 2), between(-110, 110, 2), between(-110, 110, 2)];
  if (i % 3 === 2) a.splice(1, 2, between(-10, 40, 2), between(-110, -20, 2));
  return [...a, ...a.map((v) => +(v + between(-4, 4, 2)).toFixed(2))];
}

const differences = [];
const cie94 = differenceCie94(), cie2000 = differenceCiede2000(), weighted = differenceCiede2000(2, 1.5, 0.5);
for (let i = 0; i < 1200; i++) {
  const p = labPair(i);
  const [c, d] = [p.slice(0, 3), p.slice(3)];
  const [cc, dc] = [new Color("lab", c), new Color("lab", d)];
  const [cm, dm] = [c, d].map(([l, a, b]) => ({ mode: "lab65", l, a, b }));
  differences.push([...p, ...[deltaE76(cc, dc), deltaE2000(cc, dc), cie94(cm, dm), cie2000(cm, dm), weighted(cm, dm)].map(print)]);
}
write("differences.csv",
  ["Colour differences of pairs of CIELAB colours.",
    "c76, c2000: colorjs.io 0.7.1. u94 (reference first, graphic arts), u2000 and u2000w (kL 2, kC 1.5, kH 0.5): culori 4.0.2.",
    "l76, l94, l2000, l2000w: Little CMS 2.14."],
  ["L1", "a1", "b1", "L2", "a2", "b2", "c76", "c2000", "u94", "u2000", "u2000w"], differences);

const lab = [];
for (let i = 0; i < 500; i++) {
  const scale = i % 5 ? 1 : 0.01; // some below the bend of the cube root
  const c = [0, 0, 0].map(() => +(scale * between(0.001, 1, 5)).toPrecision(5));
  const x = new Color("xyz-d65", c);
  lab.push([...c, ...x.to("lab-d65").coords.map(print), ...x.to("luv").coords.map(print)]);
}
write("lab.csv",
  ["CIELAB and CIELUV of XYZ under D65 (x 0.3127, y 0.3290, Y of white 1): colorjs.io 0.7.1. lL, la, lb: CIELAB of Little CMS 2.14."],
  ["X", "Y", "Z", "L", "a", "b", "uL", "u", "v"], lab);

const spaces = [];
for (const [name, id] of [["BT.709", "srgb-linear"], ["P3-D65", "p3-linear"], ["BT.2020", "rec2020-linear"]]) {
  for (let i = 0; i < 120; i++) {
    const rgb = [between(-0.2, 1.2, 4), between(-0.2, 1.2, 4), between(-0.2, 1.2, 4)];
    spaces.push([name, ...rgb, ...new Color(id, rgb).to("xyz-d65").coords.map(print)]);
  }
}
write("spaces.csv", ["Linear RGB to XYZ, Y of white 1: colorjs.io 0.7.1."], ["space", "R", "G", "B", "X", "Y", "Z"], spaces);

const srgb = [];
for (let i = 0; i < 120; i++) {
  const v = i < 100 ? between(-0.3, 1.3, 5) : between(-0.05, 0.05, 5);
  srgb.push([v, print(new Color("srgb", [v, 0, 0]).to("srgb-linear").coords[0]), print(new Color("srgb-linear", [v, 0, 0]).to("srgb").coords[0])]);
}
write("srgb.csv", ["sRGB: decoded and encoded value of v: colorjs.io 0.7.1."], ["v", "decoded", "encoded"], srgb);

const ictcp = [];
for (let i = 0; i < 300; i++) {
  const peak = 10 ** between(-2, 3.9, 3);
  const rgb = [random(), random(), random()];
  const xyz = new Color("rec2020-linear", rgb).to("xyz-d65").coords.map((v) => +(v * peak).toPrecision(6));
  ictcp.push([...xyz, ...new Color("xyz-abs-d65", xyz).to("ictcp").coords.map(print)]);
}
write("ictcp.csv", ["ICtCp of absolute XYZ in cd/m2: colorjs.io 0.7.1 (whose matrix has 16 digits)."], ["X", "Y", "Z", "I", "Ct", "Cp"], ictcp);

const white = ([x, y]) => [x / y, 1, (1 - x - y) / y];
const cam16 = [];
const conditions = [["average", (64 / Math.PI) * 0.2, 20], ["dim", 40, 20], ["dark", 0.8, 5], ["average", 300, 50]];
for (let i = 0; i < 400; i++) {
  const xyz = new Color("rec2020-linear", [random(), random(), random()]).to("xyz-d65").coords.map((v) => +v.toPrecision(6));
  const [surround, adapting, background] = conditions[i % 4];
  const p = toCam16(xyz, environment(white([0.3127, 0.329]), adapting, background, surround, false));
  cam16.push([surround, print(adapting), background, ...xyz, ...[p.J, p.M, p.h].map(print)]);
}
write("cam16.csv",
  ["CAM16 of XYZ under D65 (x 0.3127, y 0.3290, Y of white 1): colorjs.io 0.7.1.", "adapting in cd/m2, background in percent of white."],
  ["surround", "adapting", "background", "X", "Y", "Z", "J", "M", "h"], cam16);

const adapted = [];
for (const [name, id] of [["Bradford", "Bradford"], ["CAT02", "CAT02"], ["CAT16", "CAT16"]]) {
  for (let i = 0; i < 60; i++) {
    const [from, to] = [[between(0.25, 0.45, 4), between(0.28, 0.42, 4)], [between(0.25, 0.45, 4), between(0.28, 0.42, 4)]];
    const m = adapt(white(from), white(to), id);
    adapted.push([name, ...from, ...to, ...m.flat().map(print)]);
  }
}
write("adaptation.csv", ["Matrices of chromatic adaptation between whites: colorjs.io 0.7.1."],
  ["space", "x1", "y1", "x2", "y2", "m11", "m12", "m13", "m21", "m22", "m23", "m31", "m32", "m33"], adapted);
