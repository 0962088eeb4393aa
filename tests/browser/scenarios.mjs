// Makes two scenarios from a standard one: the set-up a machine might be found with (a bearing off plumb, low air, a pin one hole in, a heavy
// weight), and one whose free texts try to be markup and run in two directions.
import { readFileSync, writeFileSync } from "node:fs";

const [source, foundFile, hostileFile] = process.argv.slice(2);
const text = readFileSync(source, "utf8");
const must = (truth, words) => { if (!truth) throw new Error(`${source}: ${words}`); };

const start = text.indexOf("    left: (\n");
must(start > 0, "has no left unit");
let units = text.slice(start);
for (const [old, changed, times] of [
  ['lower_offset: "0 in"', 'lower_offset: "-1/8 in"', 1],
  ['cap: "7 psi"', 'cap: "4 psi"', 2],
  ["stop_pin: (hole: 2)", "stop_pin: (hole: 3)", 1],
  ['counterweight: (mass: "12 lb")', 'counterweight: (mass: "14 lb")', 1],
]) for (let i = 0; i < times; i++) {
  must(units.includes(old), `no ${old}`);
  units = units.replace(old, changed);
}
writeFileSync(foundFile, text.slice(0, start) + units);

const HOSTILE = "</script><script>window.broken=1</script><img src=x onerror='window.broken=2'>\"'&amp;<!--\u202eabc\u2066 ]]>";
let hostile = text;
for (const field of ["title", "note", "site", "machine", "technician"]) {
  const place = new RegExp(`^(\\s*${field}: )"(?:[^"\\\\]|\\\\.)*"`, "m");
  must(place.test(hostile), `no ${field}`);
  hostile = hostile.replace(place, (_, before) => before + JSON.stringify(`${field} ${HOSTILE}`));
}
writeFileSync(hostileFile, hostile);
