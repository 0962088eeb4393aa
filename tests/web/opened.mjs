// A page opened in a browser, with an account of all that it asks for and says; its places, and screenshots.
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { launched, must } from "../browser/common.mjs";

export const folder = process.env.PAGES, shots = process.env.WEB_SHOTS;
if (shots) mkdirSync(shots, { recursive: true });
export const phone = (width, height) => ({ viewport: { width, height }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 });
export const DEVICES = [["phone 360×740", phone(360, 740)], ["phone 390×844", phone(390, 844)]];
export const TABLET = { viewport: { width: 820, height: 1180 }, hasTouch: true }, DESK = { viewport: { width: 1280, height: 900 } };
export const MAIN = "ferry-return.html";
export const browser = await launched("--js-flags=--expose-gc");

// A phone is a fixed thing and the machine that checks is not: how fast that is, is told by work that never changes, of the kind an engine does (products that
// need not wait for each other, places looked up, a branch by chance). The phone takes four times what the machine takes on which the bounds were kept at a quarter
// of its own speed, where a native pass of the demo is 20 ms: USUAL_MS for this work, for it took 67 ms where a pass took 40. A slower machine is slowed down by less.
const PHONE = 4, USUAL_MS = 33.5;
const yardstick_ms = async () => {
  const context = await browser.newContext(), page = await context.newPage(), times = [];
  for (let go = 0; go < 9; go += 1) times.push(await page.evaluate(() => {
    const begun = performance.now(), kept = new Float64Array(4096).fill(0.5);
    let a = 0, b = 0, c = 0, d = 0, turn = 1;
    for (let i = 0; i < 8e6; i += 1) {
      turn = (Math.imul(turn, 1664525) + 1013904223) | 0;
      const at = turn >>> 20, x = kept[at], y = kept[(at + 1) & 4095], z = kept[(at + 2) & 4095];
      a += x * y; b += y * z; c += z * x; d += (x - y) * (y - z);
      if (turn < 0) kept[at] = 0.25 + 0.5 * x * z; else kept[at] = 0.75 - 0.25 * y;
    }
    return a + b + c + d > 0 ? performance.now() - begun : NaN;
  }));
  await context.close();
  return times.sort((x, y) => x - y)[Math.floor(times.length / 2)];
};
/** How much slower a phone is than this machine is just now: at most four times. */
const pace = async () => Math.min(PHONE, PHONE * USUAL_MS / await yardstick_ms());
/** By how much this machine is slowed down to be a phone; not at all where it is slower than one. */
export const as_phone = async () => Math.max(1, await pace());
/** Work on a page that is slowed down, and what its times are to be multiplied by to be those of a phone: a machine that is shared is now slow, now fast, so
 *  that is told before and after, and the faster of the two counts. */
export const paced = async (slower, work) => {
  const before = await pace(), done = await work();
  return [done, Math.max(before, await pace()) / slower];
};

/** Opens a page and keeps account of console messages, errors and requests. The engine's memory and a way to break it are kept in the window. */
export const open = async (name, options, { slower = 1, wait = true, script = null } = {}) => {
  const context = await browser.newContext({ acceptDownloads: true, ...options });
  const page = await context.newPage();
  const log = { console: [], errors: [], requests: [] };
  page.on("console", (message) => log.console.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", (error) => log.errors.push(error.message));
  const url = pathToFileURL(join(folder, name)).href;
  page.on("request", (request) => { if (request.url() !== url && !request.url().startsWith("blob:")) log.requests.push(request.url()); });
  await page.addInitScript(() => {
    window.seen = { asked: [], first_ms: null, started: 0, memory: null, breaks: false };
    const start = WebAssembly.instantiate;
    WebAssembly.instantiate = async (module, imports) => {
      const { exports } = await start.call(WebAssembly, module, imports);
      window.seen.started += 1;
      window.seen.memory = exports.memory;
      const ask = (length) => { const bad = window.seen.breaks; window.seen.breaks = false; const begun = performance.now(); exports.ask(bad ? length + 1e6 : length); window.seen.asked.push(performance.now() - begun); };
      return { exports: { ...exports, ask } };
    };
    new MutationObserver((_, watcher) => {
      const verdict = document.getElementById("verdict");
      if (!verdict || verdict.hidden) return;
      watcher.disconnect();
      // The first task after the frame that shows it; timers of the page come later.
      const after = new MessageChannel();
      after.port1.onmessage = () => { window.seen.first_ms = performance.now(); };
      requestAnimationFrame(() => after.port2.postMessage(null));
    }).observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ["hidden"] });
  });
  if (script) await page.addInitScript(script);
  const tools = await context.newCDPSession(page);
  // The same work on two clocks: that of the wall, and that of the page's own thread. Their ratio is the share of a processor that the page was given.
  const clocks = await Promise.all(["timeTicks", "threadTicks"].map(async (timeDomain) => {
    const clock = await context.newCDPSession(page);
    await clock.send("Performance.enable", { timeDomain });
    return async () => (await clock.send("Performance.getMetrics")).metrics.find((m) => m.name === "TaskDuration").value;
  }));
  const worked = () => Promise.all(clocks.map((clock) => clock()));
  if (slower > 1) await tools.send("Emulation.setCPUThrottlingRate", { rate: slower });
  await page.goto(url);
  if (wait) await page.waitForFunction(() => window.seen.first_ms !== null, null, { timeout: 30000 });
  return { context, page, log, tools, worked };
};
export const quiet = (log) => {
  must(log.errors.length === 0, `errors: ${log.errors.join("; ")}`);
  must(log.console.length === 0, `console: ${log.console.join("; ")}`);
  must(log.requests.length === 0, `requests: ${log.requests.join("; ")}`);
};
export const closing = async ({ context, log }) => { quiet(log); await context.close(); };
export const at = (path, kind) => `#turn .${kind}[data-path="${path}"]`;
export const PIN = "left.stop_pin.hole";
export const text = (page, id) => page.$eval(`#${id}`, (e) => e.textContent.trim());
export const drawn = (page) => page.waitForSelector('#plan[aria-busy="false"]');
export const shown = async (page) => (await drawn(page), { word: await text(page, "word"), gap: await text(page, "gap"), said: await text(page, "said"), plan: await page.$eval("#plan", (e) => e.innerHTML) });
export const ready = async (page, touch = true) => { if (touch) await page.tap("#read"); else await page.click("#read"); };
export const shoot = async (page, name) => { if (shots) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true }); };
