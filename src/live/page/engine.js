// The engine: unpacked once, asked one question at a time, replaced when it dies.
let module = null, engine = null, busy = false, opening = record;
// The last set-up that the engine answered for.
let good = { set: [], pinned: null };

// Thirteen bits in two of 91 letters, lowest first.
const unlettered = (text, length) => {
  const value = new Uint8Array(128), bytes = new Uint8Array(length);
  let next = 0, held = 0, bits = 0, at = 0;
  for (let code = 33; code < 127; code += 1) if (code !== 38 && code !== 60 && code !== 62) { value[code] = next; next += 1; }
  for (let i = 0; i < text.length; i += 2) {
    held |= (value[text.charCodeAt(i)] + 91 * value[text.charCodeAt(i + 1)]) << bits;
    for (bits += 13; bits >= 8 && at < length; bits -= 8) { bytes[at] = held & 255; at += 1; held >>>= 8; }
  }
  return bytes;
};
const unpack = async () => {
  if (typeof WebAssembly !== "object") throw new Error("WebAssembly");
  if (typeof DecompressionStream !== "function") throw new Error("DecompressionStream");
  const packed = $("engine"), bytes = unlettered(packed.textContent, Number(packed.dataset.bytes));
  packed.remove();
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compileStreaming(new Response(stream, { headers: { "content-type": "application/wasm" } }));
};
// Asks an engine; what it refuses and what it dies of are told apart. Written so that a worker can be made of its text.
const asked = (exports, question) => {
  const answer = () => new TextDecoder().decode(new Uint8Array(exports.memory.buffer, exports.answer_at(), exports.answer_length()));
  const bytes = new TextEncoder().encode(JSON.stringify(question));
  try {
    // Room first: the memory may move for it.
    const place = exports.room(bytes.length);
    new Uint8Array(exports.memory.buffer, place, bytes.length).set(bytes);
    exports.ask(bytes.length);
  } catch (error) {
    let died = String(error.message);
    try { died = answer() || died; } catch { /* Nothing more is known. */ }
    return { died };
  }
  return JSON.parse(answer());
};
class Died extends Error {}
const of_answer = (said) => {
  if ("died" in said) throw new Died(said.died);
  if ("refused" in said) throw new Error(said.refused);
  return said.ok;
};
const ask = (question) => of_answer(asked(engine.exports, question));
const open_question = () => ({ do: "open", name: opening.name, text: opening.text, beside: opening.beside, set: opening.set, lesson: opening.lesson ?? "", lesson_name: opening.lesson_name ?? "" });
const start = async () => {
  engine = await WebAssembly.instantiate(module, {});
  return ask(open_question());
};

// What the engine says is shown; what it refuses is told; when it dies, another takes its place.
const tell = (text) => { $("alert-text").textContent = text; show("alert", true); };
const attempt = async (work) => {
  if (busy) return undefined;
  try { return work(); } catch (error) {
    if (!(error instanceof Died)) { tell(`${say("refused")}\n${error.message}`); return undefined; }
    busy = true;
    state.set = good.set; state.pinned = good.pinned; state.t = null;
    try {
      await start();
      take(ask(whole({ do: "show" })));
      tell(say("died", error.message));
      busy = false;
    } catch (again) { tell(String(again.message)); }
    return undefined;
  }
};
const update = (question) => attempt(() => { show("alert", false); take(ask(whole(question))); });

// Long work, in an engine of its own beside the page; in the page, a step at a time, where there are no workers.
const aside = (() => {
  let worker = null, own = null, waiting = [];
  const at_work = () => {
    let ready = null;
    onmessage = async ({ data }) => {
      ready ??= WebAssembly.instantiate(data.module, {});
      postMessage(asked((await ready).exports, data.question));
    };
  };
  // What still waits is told why it waits in vain.
  const stop = (why) => {
    const all = waiting;
    worker?.terminate();
    worker = null; own = null; waiting = [];
    for (const done of all) done({ died: why });
  };
  const send = (message) => new Promise((done) => { waiting.push(done); worker.postMessage(message); });
  const asking = async (question) => {
    if (typeof Worker !== "function") {
      if (!own) { own = await WebAssembly.instantiate(module, {}); asked(own.exports, open_question()); }
      await new Promise((done) => setTimeout(done));
      return asked(own.exports, question);
    }
    if (!worker) {
      const url = URL.createObjectURL(new Blob([`"use strict"; const asked = ${asked}; (${at_work})();`], { type: "text/javascript" }));
      worker = new Worker(url);
      worker.onmessage = ({ data }) => waiting.shift()?.(data);
      worker.onerror = (event) => { event.preventDefault(); stop(event.message || "worker"); };
      send({ module, question: open_question() });
    }
    return send({ question });
  };
  return {
    /** Asks; a promise of what is said. An engine that died is replaced by the next question. */
    ask: async (question) => {
      const said = await asking(question);
      if ("died" in said) stop(said.died);
      return of_answer(said);
    },
  };
})();
