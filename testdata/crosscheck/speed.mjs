// Times two JavaScript libraries' CIEDE2000 over the pairs of pairs.bin.
import { readFileSync } from "node:fs";
import { differenceCiede2000 } from "culori";
import deltaE2000 from "colorjs.io/src/deltaE/deltaE2000.js";
import Lab from "colorjs.io/src/spaces/lab.js";

const bytes = readFileSync("pairs.bin");
const data = new Float64Array(bytes.buffer, bytes.byteOffset, bytes.length / 8);

function time(name, of) {
  let best = Infinity, sum = 0;
  for (let round = 0; round < 5; round++) {
    const began = process.hrtime.bigint();
    sum = 0;
    for (let i = 0; i < data.length; i += 6) sum += of(i);
    best = Math.min(best, Number(process.hrtime.bigint() - began) / (data.length / 6));
  }
  console.log(`${name} ${best.toFixed(3)} ${sum}`);
}

const culori = differenceCiede2000();
time("culori", (i) => culori(
  { mode: "lab65", l: data[i], a: data[i + 1], b: data[i + 2] },
  { mode: "lab65", l: data[i + 3], a: data[i + 4], b: data[i + 5] }));
time("colorjs.io", (i) => deltaE2000(
  { space: Lab, coords: [data[i], data[i + 1], data[i + 2]], alpha: 1 },
  { space: Lab, coords: [data[i + 3], data[i + 4], data[i + 5]], alpha: 1 }));
