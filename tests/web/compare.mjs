// The engine against its native twin: every scenario shipped, set-ups by chance. Every text, verdict and refusal is the same byte for byte, and so are
// pictures but for corners on the edge of rounding. The two have other libraries of sines and powers, so their motions differ in the last bits, and what
// comes after many bounces of an arm in more than those: numbers of documents agree to 1e-8 of their size, a counted few to 1e-3. What is left of the
// energy audit is rounding itself. Where two places for a label are equally good, or two instants equally telling, the last bits choose: such answers
// are told one by one, and must be few.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { chance, engine, native, opening } from "./engine.mjs";

const folder = process.env.SCENARIOS, rounds = Number(process.env.ROUNDS ?? 10);
const TOLERANCE = 1e-8, WIDEST = 1e-3;
// Most of all numbers that may lie between the two, and most of all texts in which a printed number may stand one in its last digit off.
const FEW_NUMBERS = 1 / 100, MORE_NUMBERS = 1 / 20, FAULT_TOLERANCE = 1e-6, FEW_WILD = 3, FEW_TEXTS = 1 / 1000;
// Kinds of answers that choose among what is equally good, and most of all questions whose answer may choose otherwise.
const CHOOSING = ["pictures", "frame", "sheet"], FEW_CHOICES = 1 / 400;
const audit_apart = (text) => text.replace(/(less|more) than\s1e[−\d]+ of the work/, "");
// What is left of the energy audit is what rounding leaves: of no size of its own.
const LEFT_OVER = /residual|unaccounted/;

// How near numbers have to be, now.
let near = TOLERANCE, wild = 0;
let largest = 0, strings = 0, numbers = 0, wide = 0, corners = 0, replays = 0, marks = 0;
const PRINTED = /-?\d+(?:\.\d+)?/g;
/** Whether two texts are the same but for numbers of a picture that differ by one in the last of two decimals, as rounding leaves it. */
const same_but_corners = (a, b) => {
  if (!a.includes("<svg") || a.replace(PRINTED, "#") !== b.replace(PRINTED, "#")) return false;
  const there = b.match(PRINTED);
  return a.match(PRINTED).every((one, i) => one === there[i] || Math.abs(Number(one) - Number(there[i])) < 0.0101);
};
/** A sheet without the record of its replay, and that record. */
const parted = (sheet) => { const cut = /(<script type="application\/json" id="record">)([^<]*)/.exec(sheet); return [sheet.replace(cut[2], ""), cut[2]]; };
/** Share of the marks of two records of a replay that differ: pressures stand there in 63 levels, and some stand on the edge of one. */
const replay_off = (a, b) => (a.length === b.length ? [...a].filter((c, i) => c !== b[i]).length / a.length : 1);
const FEW_MARKS = 1 / 500;
const differ = (a, b, path) => {
  if (typeof a !== typeof b || (a === null) !== (b === null) || Array.isArray(a) !== Array.isArray(b)) return `${path}: ${JSON.stringify(a)} and ${JSON.stringify(b)}`;
  if (typeof a === "number") {
    numbers += 1;
    const off = Math.abs(a - b) / Math.max(1, Math.abs(a), Math.abs(b));
    if (LEFT_OVER.test(path)) return null;
    largest = Math.max(largest, off);
    if (off > near && off <= WIDEST) { wide += 1; return null; }
    // An arm that is far off may swing on and on: when it comes to rest hangs on the last bits.
    if (off > WIDEST && near === FAULT_TOLERANCE) { wild += 1; return null; }
    return off <= near ? null : `${path}: ${a} and ${b}`;
  }
  if (typeof a === "string") {
    strings += 1;
    if (a === b || (path === "text.ok" && audit_apart(a) === audit_apart(b))) return null;
    if (path === "sheet.ok") {
      const [here, mine] = parted(a), [there, its] = parted(b);
      const off = replay_off(mine, its);
      marks = Math.max(marks, off);
      if (mine !== its && off <= FEW_MARKS) { replays += 1; return here === there ? null : differ(here, there, "sheet without its replay"); }
    }
    if (same_but_corners(a, b)) { corners += 1; return null; }
    let at = 0;
    while (a[at] === b[at]) at += 1;
    return `${path}: «${a.slice(Math.max(0, at - 60), at + 60)}» and «${b.slice(Math.max(0, at - 60), at + 60)}»`;
  }
  if (a === null || typeof a !== "object") return a === b ? null : `${path}: ${a} and ${b}`;
  const keys = Object.keys(a);
  if (keys.join() !== Object.keys(b).join()) return `${path}: ${keys} and ${Object.keys(b)}`;
  for (const key of keys) {
    const found = differ(a[key], b[key], `${path}.${key}`);
    if (found) return found;
  }
  return null;
};

const texts = new Map(readdirSync(folder).filter((name) => name.endsWith(".ron")).map((name) => [name, readFileSync(join(folder, name), "utf8")]));
const twin = native(process.env.ANSWERS), faults = [], choices = [], kinds = new Map();
let scenarios = 0, setups = 0, refused = 0, questions = 0, inside_ms = 0, outside_ms = 0;
for (const name of texts.keys()) {
  // A fresh engine for each: one is enough, but none may lean on what it did before.
  const own = await engine(process.env.ENGINE);
  const both = async (question, what) => {
    questions += 1;
    let before = performance.now();
    const here = own.ask(question);
    inside_ms += performance.now() - before;
    before = performance.now();
    const there = await twin.ask(question);
    outside_ms += performance.now() - before;
    const a = JSON.parse(here), b = JSON.parse(there);
    const found = differ(a, b, what);
    if (found) kinds.set(what, (kinds.get(what) ?? 0) + 1);
    if (found) (CHOOSING.includes(what) ? choices : faults).push(`${name}, ${JSON.stringify(question.set ?? [])} ${question.path ?? ""} ${question.steps ?? question.value ?? ""}: ${found}`);
    return b;
  };
  const opened = await both(opening(folder, name, texts), "open");
  // Files of foam, machines, vehicles and readings are no scenarios: refused alike, and that is all.
  if (opened.refused) continue;
  scenarios += 1;
  const draw = chance(19);
  const manners = [{ units: "us", lang: "en", width: 328 }, { units: "si", lang: "es", width: 360, dark: true }, { units: "us", lang: "fr", width: 900 }];
  let now = (await both({ do: "show", ...manners[0] }, "show")).ok;
  const telling_s = (await both({ do: "pictures", ...manners[0] }, "pictures")).ok.frame.t_s;
  for (let round = 0; round < rounds; round += 1) {
    const manner = manners[draw(manners.length)];
    if (round % 4 === 0) now = (await both({ do: "show", ...manner }, "show")).ok;
    const row = now.rows[draw(now.rows.length)], cell = row.cells[draw(row.cells.length)];
    const question = cell.choices.length > 0
      ? { do: "put", path: cell.path, value: cell.choices[draw(cell.choices.length)][0] }
      : { do: "turn", path: cell.path, steps: (1 + draw(4)) * (draw(2) ? 1 : -1) };
    const turned = await both({ ...question, set: now.set, ...manner }, question.do);
    setups += 1;
    if (turned.refused) { refused += 1; continue; }
    now = turned.ok;
    const { set } = now;
    await both({ do: "pictures", set, ...manner }, "pictures");
    await both({ do: "text", set, ...manner }, "text");
    await both({ do: "document", set }, "document");
    await both({ do: "frame", set, t_s: telling_s + (draw(2000) - 1000) / 400, pinned: draw(3) === 0 ? [] : null, ...manner }, "frame");
    await both({ do: "file", set }, "file");
  }
  if (rounds > 1) {
    await both({ do: "reach", set: now.set }, "reach");
    await both({ do: "sheet", set: now.set, units: "si", lang: "fr" }, "sheet");
  }
  for (const wrong of [{ do: "nonsense" }, { do: "put", path: "left.air.cap", value: "<b>" }, { do: "put", path: "line.throughput", value: "9000" }, { do: "turn", path: "no.such", steps: 1 }]) await both(wrong, "wrong");
  if (own.exports.memory.buffer.byteLength > 40e6) faults.push(`${name}: the engine took ${own.exports.memory.buffer.byteLength} bytes`);
}
let runs = 0, fault_ms = 0, told_of_faults = "";
// Every step of every lesson shipped, on its scenario.
let steps = 0;
for (const file of readdirSync(join(folder, "lessons"))) {
  const lesson = readFileSync(join(folder, "lessons", file), "utf8"), name = /scenario: "\.\.\/([^"]+)"/.exec(lesson)[1];
  const own = await engine(process.env.ENGINE), opened = { ...opening(folder, name, texts), lesson, lesson_name: file };
  const found = [differ(JSON.parse(own.ask(opened)), JSON.parse(await twin.ask(opened)), "lesson")];
  for (let step = 0, count = 1; step < count; step += 1) {
    const question = { do: "step", step, units: step % 2 ? "si" : "us" }, there = JSON.parse(await twin.ask(question));
    found.push(differ(JSON.parse(own.ask(question)), there, "step"));
    count = there.ok.count;
    steps += 1;
  }
  for (const fault of found.filter(Boolean)) { faults.push(`${file}: ${fault}`); kinds.set("step", (kinds.get("step") ?? 0) + 1); }
}
// The causes of a fault one at a time on the smallest machine, then what they come to.
{
  const name = "one-unit.ron", own = await engine(process.env.ENGINE), question = opening(folder, name, texts);
  own.ask(question);
  await twin.ask(question);
  const before = { wide, numbers };
  near = FAULT_TOLERANCE;
  const told = { seen: ["tail-missed:left", "gradual"], fine: ["slams:left"], readings: ["gauge:left=5 psi"] };
  const both = async (question, what) => {
    const here = JSON.parse(own.ask(question)), there = JSON.parse(await twin.ask(question)), found = differ(here, there, what);
    if (found) { faults.push(`${name}: ${found}`); kinds.set(what, (kinds.get(what) ?? 0) + 1); }
    return there.ok;
  };
  let longest_ms = 0;
  for (let progress = { whole: false }; !progress.whole; runs += 1) {
    const before = performance.now();
    progress = JSON.parse(own.ask({ do: "fault_step" })).ok;
    longest_ms = Math.max(longest_ms, performance.now() - before);
    fault_ms += performance.now() - before;
    if (JSON.stringify(JSON.parse(await twin.ask({ do: "fault_step" })).ok) !== JSON.stringify(progress)) faults.push(`${name}: run ${runs} differs`);
  }
  for (const lang of ["en", "es", "fr"]) await both({ do: "fault", ...told, lang }, "fault");
  await both({ do: "fault_document", ...told, checked: ["gauge=ok"] }, "fault_document");
  await both({ do: "fault_list", lang: "es" }, "fault_list");
  const form = await both({ do: "form", lang: "fr" }, "form");
  for (const [test, given] of [["weigh", { mass: ["12 lb", "12 kg"] }], ["pulls", { brush_center: ["30 in"], force: ["2 lbf"] }], ["timed swing", { from: ["60 in"], to: ["25 in"], time: ["1.4 s"] }], ["strip", { conveyor_speed: ["50 ft/min"], width: ["4 in"] }], ["weigh", { mass: ["12 psi"] }]]) {
    for (const what of ["form_beside", "form_file"]) await both({ do: what, form: { of: form.of, readings: [{ test, at: 0, given }] } }, what);
  }
  // Machines that are far off swing and bounce more than those anybody sets up: their numbers are counted by themselves.
  const off = { wide: wide - before.wide, of: numbers - before.numbers };
  ({ wide, numbers } = before);
  if (wild > FEW_WILD) faults.push(`${name}: ${wild} numbers of faults beyond ${WIDEST}`);
  if (off.wide > off.of * MORE_NUMBERS) faults.push(`${name}: ${off.wide} of ${off.of} numbers of faults beyond ${near}`);
  told_of_faults = `${runs} runs of causes, ${(fault_ms / runs).toFixed(0)} ms each, the longest ${longest_ms.toFixed(0)}, ${off.wide} of their ${off.of} numbers beyond ${near}, ${wild} beyond ${WIDEST}; `;
  near = TOLERANCE;
  if (own.exports.memory.buffer.byteLength > 60e6) faults.push(`${name}: the engine took ${own.exports.memory.buffer.byteLength} bytes for its causes`);
}
twin.end();
if (kinds.size > 0) console.log(`differing by question: ${[...kinds].map((pair) => pair.join(" ")).join(", ")}`);
for (const choice of choices.slice(0, 20)) console.log(`chosen otherwise  ${choice.replace(/\s+/g, " ").slice(0, 300)}`);
for (const fault of faults.slice(0, 20)) console.log(`FAILED  ${fault}`);
console.log(
  `engine against native: ${scenarios} scenarios, ${setups} set-ups by chance (${refused} refused alike), ${questions} questions, ${steps} steps of lessons, ${told_of_faults}${strings} texts, ${numbers} numbers; `
  + `${wide} numbers beyond ${TOLERANCE} (the farthest ${largest.toExponential(1)}), ${corners} pictures with a corner a hundredth off, ${replays} replays with marks off (at most ${marks.toExponential(1)} of them); ${choices.length} answers chosen otherwise; ${faults.length} faults; ${(inside_ms / questions).toFixed(1)} ms a question here, ${(outside_ms / questions).toFixed(1)} native`,
);
const enough = scenarios >= 7 && steps > 20 && setups === scenarios * rounds && strings > 200 * scenarios && wide <= numbers * FEW_NUMBERS && corners <= strings * FEW_TEXTS && choices.length <= Math.max(2, questions * FEW_CHOICES) && refused < setups / 4;
if (!enough) console.log("FAILED  too little was compared, or too much is off");
process.exit(faults.length === 0 && enough ? 0 : 1);
