// The engine against its native twin: every scenario shipped, set-ups by chance, every step of every lesson, the causes of a fault, the field form. Every answer
// is the same byte for byte, its numbers to the last bit: both take their elementary functions from the same library. The engine is asked twice: in node,
// and inside the browser.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { launched } from "../browser/common.mjs";
import { chance, engine, engine_in, native, opening } from "./engine.mjs";

const folder = process.env.SCENARIOS, rounds = Number(process.env.ROUNDS ?? 10);

let answers = 0, bytes = 0, numbers = 0, pictures = 0;
/** Where two answers differ; null where they are the same. */
const differ = (a, b, what) => {
  answers += 1;
  bytes += b.length;
  numbers += (b.match(/-?\d+(?:\.\d+)?(?:e-?\d+)?/g) ?? []).length;
  pictures += (b.match(/<svg/g) ?? []).length;
  if (a === b) return null;
  let at = 0;
  while (a[at] === b[at]) at += 1;
  return `${what}: «${a.slice(Math.max(0, at - 60), at + 60)}» and «${b.slice(Math.max(0, at - 60), at + 60)}»`;
};

const browser = await launched();
/** A fresh engine here and one in the browser: one would be enough for all, but none may lean on what it did before. */
const fresh = async () => {
  const here = await engine(process.env.ENGINE), far = await engine_in(browser, process.env.ENGINE);
  return { exports: here.exports, close: far.close, ask: (question) => [here.ask(question), far.ask(question)] };
};
/** Where one of two answers, here and in the browser, differs from the native one. */
const apart = async ([here, far], there, what) => {
  const found = differ(here, there, what), in_browser = differ(await far, there, what);
  return found ?? (in_browser && `in the browser, ${in_browser}`);
};

const texts = new Map(readdirSync(folder).filter((name) => name.endsWith(".ron")).map((name) => [name, readFileSync(join(folder, name), "utf8")]));
const twin = native(process.env.ANSWERS), faults = [], kinds = new Map();
let scenarios = 0, setups = 0, refused = 0, questions = 0, inside_ms = 0, outside_ms = 0;
for (const name of texts.keys()) {
  const own = await fresh();
  const both = async (question, what) => {
    questions += 1;
    let before = performance.now();
    const asked = own.ask(question);
    inside_ms += performance.now() - before;
    before = performance.now();
    const there = await twin.ask(question);
    outside_ms += performance.now() - before;
    const found = await apart(asked, there, what);
    if (found) kinds.set(what, (kinds.get(what) ?? 0) + 1);
    if (found) faults.push(`${name}, ${JSON.stringify(question.set ?? [])} ${question.path ?? ""} ${question.steps ?? question.value ?? ""}: ${found}`);
    return JSON.parse(there);
  };
  const opened = await both(opening(folder, name, texts), "open");
  // Files of foam, machines, vehicles and readings are no scenarios: refused alike, and that is all.
  if (opened.refused) continue;
  scenarios += 1;
  const draw = chance(19);
  const manners = [{ units: "us", lang: "en", width: 328 }, { units: "si", lang: "es", width: 360, dark: true }, { units: "us", lang: "fr", width: 900 }];
  let now = (await both({ do: "show", ...manners[0] }, "show")).ok;
  const key_s = (await both({ do: "pictures", ...manners[0] }, "pictures")).ok.frame.t_s;
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
    await both({ do: "frame", set, t_s: key_s + (draw(2000) - 1000) / 400, pinned: draw(3) === 0 ? [] : null, ...manner }, "frame");
    await both({ do: "file", set }, "file");
  }
  if (rounds > 1) {
    await both({ do: "reach", set: now.set }, "reach");
    await both({ do: "sheet", set: now.set, units: "si", lang: "fr" }, "sheet");
  }
  for (const wrong of [{ do: "nonsense" }, { do: "put", path: "left.air.cap", value: "<b>" }, { do: "put", path: "line.throughput", value: "9000" }, { do: "turn", path: "no.such", steps: 1 }]) await both(wrong, "wrong");
  if (own.exports.memory.buffer.byteLength > 40e6) faults.push(`${name}: the engine took ${own.exports.memory.buffer.byteLength} bytes`);
  await own.close();
}
let runs = 0, fault_ms = 0, told_of_faults = "";
// Every step of every lesson shipped, on its scenario.
let steps = 0;
for (const file of readdirSync(join(folder, "lessons"))) {
  const lesson = readFileSync(join(folder, "lessons", file), "utf8"), name = /scenario: "\.\.\/([^"]+)"/.exec(lesson)[1];
  const own = await fresh(), opened = { ...opening(folder, name, texts), lesson, lesson_name: file };
  const found = [await apart(own.ask(opened), await twin.ask(opened), "lesson")];
  for (let step = 0, count = 1; step < count; step += 1) {
    const question = { do: "step", step, units: step % 2 ? "si" : "us" }, there = await twin.ask(question);
    found.push(await apart(own.ask(question), there, "step"));
    count = JSON.parse(there).ok.count;
    steps += 1;
  }
  for (const fault of found.filter(Boolean)) { faults.push(`${file}: ${fault}`); kinds.set("step", (kinds.get("step") ?? 0) + 1); }
  await own.close();
}
// The causes of a fault one at a time on the smallest machine, then what they come to.
{
  const name = "one-unit.ron", own = await fresh(), question = opening(folder, name, texts);
  await own.ask(question)[1];
  await twin.ask(question);
  const told = { seen: ["tail-missed:left", "gradual"], fine: ["slams:left"], readings: ["gauge:left=5 psi"] };
  const both = async (question, what) => {
    const there = await twin.ask(question), found = await apart(own.ask(question), there, what);
    if (found) { faults.push(`${name}: ${found}`); kinds.set(what, (kinds.get(what) ?? 0) + 1); }
    return JSON.parse(there).ok;
  };
  let longest_ms = 0;
  for (let progress = { whole: false }; !progress.whole; runs += 1) {
    const before = performance.now();
    const asked = own.ask({ do: "fault_step" });
    longest_ms = Math.max(longest_ms, performance.now() - before);
    fault_ms += performance.now() - before;
    const found = await apart(asked, await twin.ask({ do: "fault_step" }), "fault_step");
    if (found) faults.push(`${name}: run ${runs}: ${found}`);
    progress = JSON.parse(asked[0]).ok;
  }
  for (const lang of ["en", "es", "fr"]) await both({ do: "fault", ...told, lang }, "fault");
  await both({ do: "fault_document", ...told, checked: ["gauge=ok"] }, "fault_document");
  await both({ do: "fault_list", lang: "es" }, "fault_list");
  const form = await both({ do: "form", lang: "fr" }, "form");
  for (const [test, given] of [["weigh", { mass: ["12 lb", "12 kg"] }], ["pulls", { brush_center: ["30 in"], force: ["2 lbf"] }], ["timed swing", { from: ["60 in"], to: ["25 in"], time: ["1.4 s"] }], ["strip", { conveyor_speed: ["50 ft/min"], width: ["4 in"] }], ["weigh", { mass: ["12 psi"] }]]) {
    for (const what of ["form_beside", "form_file"]) await both({ do: what, form: { of: form.of, readings: [{ test, at: 0, given }] } }, what);
  }
  told_of_faults = `${runs} runs of causes, ${(fault_ms / runs).toFixed(0)} ms each, the longest ${longest_ms.toFixed(0)}; `;
  if (own.exports.memory.buffer.byteLength > 60e6) faults.push(`${name}: the engine took ${own.exports.memory.buffer.byteLength} bytes for its causes`);
}
twin.end();
await browser.close();
if (kinds.size > 0) console.log(`differing by question: ${[...kinds].map((pair) => pair.join(" ")).join(", ")}`);
for (const fault of faults.slice(0, 20)) console.log(`FAILED  ${fault}`);
console.log(
  `engine in node and in the browser against native: ${scenarios} scenarios, ${setups} set-ups by chance (${refused} refused alike), ${questions} questions, ${steps} steps of lessons, ${told_of_faults}`
  + `${answers} answers with ${pictures} pictures and ${numbers} numbers, ${(bytes / 1e6).toFixed(1)} MB: ${faults.length} differ; ${(inside_ms / questions).toFixed(1)} ms a question here, ${(outside_ms / questions).toFixed(1)} native`,
);
const enough = scenarios >= 7 && steps > 20 && setups === scenarios * rounds && answers > 100 * scenarios && pictures > 20 * scenarios && numbers > 20_000 && refused < setups / 4;
if (!enough) console.log("FAILED  too little was compared");
process.exit(faults.length === 0 && enough ? 0 : 1);
