// The engine and its native twin, each asked a question at a time.
import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";

/** The built module; a question in, the answer as text out. */
export const engine = async (file) => {
  const module = await WebAssembly.compile(readFileSync(file));
  const imports = WebAssembly.Module.imports(module);
  if (imports.length > 0) throw new Error(`the engine wants ${imports.map((i) => `${i.module}.${i.name}`).join(", ")}`);
  const { exports } = await WebAssembly.instantiate(module, {});
  const ask = (question) => {
    const bytes = new TextEncoder().encode(JSON.stringify(question));
    // Room first: the memory may move for it.
    const place = exports.room(bytes.length);
    new Uint8Array(exports.memory.buffer, place, bytes.length).set(bytes);
    exports.ask(bytes.length);
    return new TextDecoder().decode(new Uint8Array(exports.memory.buffer, exports.answer_at(), exports.answer_length()));
  };
  return { ask, exports };
};

/** The same module inside a browser, on a page of its own: the question crosses to it, the answer back. */
export const engine_in = async (browser, file) => {
  const page = await browser.newPage();
  await page.evaluate(async (bytes) => {
    const { instance: { exports } } = await WebAssembly.instantiate(await (await fetch(`data:application/wasm;base64,${bytes}`)).arrayBuffer(), {});
    window.asked = (question) => {
      const told = new TextEncoder().encode(question), place = exports.room(told.length);
      new Uint8Array(exports.memory.buffer, place, told.length).set(told);
      exports.ask(told.length);
      return new TextDecoder().decode(new Uint8Array(exports.memory.buffer, exports.answer_at(), exports.answer_length()));
    };
  }, readFileSync(file).toString("base64"));
  return { ask: (question) => page.evaluate((told) => window.asked(told), JSON.stringify(question)), close: () => page.close() };
};

/** The program that answers natively. */
export const native = (program) => {
  const child = spawn(program, { stdio: ["pipe", "pipe", "inherit"] });
  const waiting = [];
  createInterface({ input: child.stdout }).on("line", (line) => waiting.shift()(line));
  const ask = (question) => new Promise((done) => {
    waiting.push(done);
    child.stdin.write(`${JSON.stringify(question)}\n`);
  });
  return { ask, end: () => child.stdin.end() };
};

/** A scenario with the files beside it, as a question that opens it. */
export const opening = (folder, name, texts) => {
  const text = texts.get(name), beside = {};
  for (const [other, content] of texts) if (other !== name && text.includes(`File("${other}")`)) beside[other] = content;
  return { do: "open", name, text, beside };
};

/** Numbers by chance, the same each time (mulberry32). */
export const chance = (seed) => {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 4294967296) * below);
  };
};
