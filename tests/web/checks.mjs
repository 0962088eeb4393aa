// Checks of the page in a browser, at the size of phones, by touch, at a phone's speed. Prints one line a check with what was
// measured; any failure ends with code 1.
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { native, opening } from "./engine.mjs";
import { HtmlValidate, accessible, check, count, must } from "../browser/common.mjs";
import { DESK, DEVICES, MAIN, PIN, TABLET, as_phone, at, browser, closing, drawn, folder, open, paced, quiet, ready, shoot, shots, shown, text } from "./opened.mjs";
import { layout } from "./seen.mjs";

const turns = Number(process.env.TURNS ?? 1000);
// Bounds, at the speed of a phone.
const FIRST_MS = 1500, TURN_MS = 150, FRAMES_S = 20, MOST_BYTES = 1_600_000;

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

const pages = readdirSync(folder).filter((name) => name.endsWith(".html")).sort();
must(pages.length >= 5, "too few pages to check");
const validator = new HtmlValidate({ extends: ["html-validate:recommended", "html-validate:document", "html-validate:a11y"] });
const policyOf = (page) => page.$eval('meta[http-equiv="Content-Security-Policy"]', (meta) => meta.content);

for (const name of pages) {
  await check(`${name} is one valid file without an address`, async () => {
    const size = statSync(join(folder, name)).size, whole = readFileSync(join(folder, name), "utf8");
    must(size < MOST_BYTES && size > 400_000, `${size} bytes`);
    const bare = whole.replace(/(id="engine" data-bytes="\d+">)[^<]*</, "$1<");
    must(bare.length < 200_000, "the engine was not found");
    for (const word of ["http:", "https:", "@import", "<link", "<iframe", "url("]) must(!bare.includes(word), `holds ${word}`);
    const report = await validator.validateString(bare, name);
    must(report.valid, report.results.flatMap((r) => r.messages).slice(0, 8).map((m) => `${m.line}:${m.column} ${m.ruleId} ${m.message}`).join("\n"));
    return `${(size / 1000).toFixed(0)} kB`;
  });
  for (const [device, options, touch] of [...DEVICES.map((d) => [...d, true]), ["tablet", TABLET, true], ["desk", DESK, false]]) {
    await check(`${name} on a ${device}: nothing asked for, nothing complained of, nothing small, cut, overprinted or sticking out`, async () => {
      const opened = await open(name, options);
      await ready(opened.page, touch);
      await opened.page.click("#more > summary");
      await drawn(opened.page);
      const faults = await layout(opened.page);
      await shoot(opened.page, `${name}-${device.replaceAll(" ", "-")}`);
      must(faults.length === 0, faults.join("\n"));
      await closing(opened);
    });
  }
}
for (const [mode, options, sun] of [["light", { colorScheme: "light" }, false], ["dark", { colorScheme: "dark" }, false], ["outdoor contrast", { colorScheme: "dark" }, true]]) for (const name of [MAIN, "ferry-return-es.html", "ferry-return-fr.html"]) {
  await check(`${name} keeps the accessibility rules on a phone, ${mode}`, async () => {
    const opened = await open(name, { ...DEVICES[0][1], ...options });
    const { page } = opened;
    await accessible(page);
    await ready(page);
    if (sun) await page.tap("#sun");
    await page.tap(at(PIN, "plus"));
    await page.tap("#pin");
    await page.click("#more > summary");
    await drawn(page);
    const told = await accessible(page);
    await shoot(page, `${name}-${mode.replaceAll(" ", "-")}-after`);
    await closing(opened);
    return told;
  });
}

// Times are those of the wall, times the share of a processor that the page was given meanwhile, times how fast the machine was meanwhile beside the one that the
// bounds are for; all three are told. Of pictures while scrubbing, which wait for the screen, only the share counts. What else runs on the machine still only ever
// adds to them (caches, cores that are two by name): of three goes the quickest counts, and where all three taps are over, of three more. How fast the machine was
// is read with errors both ways: of all goes its median counts.
const GOES = 3;
const TAPS = 10;
const PATHS = ["left.stop_pin.hole", "left.air.cap", "right.air.cap", "left.bearings.lower_offset", "right.bearings.lower_offset", "line.throughput"];
for (const [device, options] of DEVICES) {
  await check(`first verdict, turns and scrubbing on a ${device}`, async () => {
    const slower = await as_phone();
    /** What was read, its share of a processor and how fast the machine was. The clocks of a page that the work opens begin with it. */
    const read = async (work, clocks = null) => {
      const [[done, share], scale] = await paced(slower, async () => {
        const [wall, own] = clocks ? await clocks() : [0, 0];
        const done = await work();
        const after = await (clocks ?? opened.worked)();
        return [done, Math.min(1, (after[1] - own) / (after[0] - wall))];
      });
      return { done, share, scale };
    };
    const firsts = [];
    let opened = null;
    for (let go = 0; go < GOES; go += 1) {
      if (opened) await closing(opened);
      firsts.push(await read(async () => {
        opened = await open(MAIN, options, { slower });
        return opened.page.evaluate(() => window.seen.first_ms);
      }));
    }
    const { page, worked } = opened;
    await ready(page);
    await drawn(page);
    // From the tap to the verdict on the screen, as the browser itself counts it (W3C, Event Timing), in steps of 8 ms.
    await page.evaluate(() => {
      window.seen.taps = [];
      window.seen.asked = [];
      new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) if (entry.name === "click") window.seen.taps.push(entry.duration);
      }).observe({ type: "event", durationThreshold: 16 });
    });
    let tapped = 0, timed = 0;
    const tapping = async () => {
      const pictures = [];
      for (const until = tapped + TAPS; tapped < until; tapped += 1) {
        const button = at(PATHS[tapped % PATHS.length], tapped % 4 < 2 ? "plus" : "less");
        if (await page.$eval(button, (b) => b.disabled)) continue;
        const before = await page.$eval("#lines", (e) => e.textContent);
        const begun = performance.now();
        await page.tap(button);
        await drawn(page);
        pictures.push(performance.now() - begun);
        must((await page.$eval("#lines", (e) => e.textContent)) !== before, `${button} changed nothing`);
      }
      await page.waitForTimeout(100);
      const taps = await page.evaluate((from) => window.seen.taps.slice(from), timed);
      timed += taps.length;
      return { turn_ms: median(taps), pictures_ms: median(pictures) };
    };
    const quickest = (list, value) => Math.min(...list.map((one) => value(one.done) * one.share)) * median(list.map((one) => one.scale));
    const goes = [], turn = () => quickest(goes, (done) => done.turn_ms);
    while (goes.length < GOES || (turn() >= TURN_MS && goes.length < 2 * GOES)) goes.push(await read(tapping, worked));
    // Each turn asks for the verdict, then for the pictures.
    const asked = await page.evaluate(() => window.seen.asked), solve_ms = median(asked.filter((_, i) => i % 2 === 0)), draw_ms = median(asked.filter((_, i) => i % 2 === 1));
    must(timed > 20, `only ${timed} taps were timed`);
    const frames = await read(() => page.evaluate(async () => {
      const scrub = document.getElementById("scrub"), plan = document.getElementById("plan");
      let drawn = 0;
      new MutationObserver(() => { drawn += 1; }).observe(plan, { childList: true });
      const start = performance.now();
      for (let i = 0; performance.now() - start < 3000; i += 1) {
        scrub.value = String((i * 7) % 1000);
        scrub.dispatchEvent(new Event("input"));
        await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
      }
      return drawn / ((performance.now() - start) / 1000);
    }), worked);
    await closing(opened);
    const own = [quickest(firsts, (done) => done), turn(), frames.done / frames.share], each = [...firsts, ...goes, frames];
    const told = `processor ${slower.toFixed(1)}× slower, first verdict ${own[0].toFixed(0)} ms (${firsts.map((one) => one.done.toFixed(0)).join(", ")} by the wall), tap to verdict ${own[1].toFixed(0)} ms (${goes.map((go) => go.done.turn_ms.toFixed(0)).join(", ")} by the wall; ${timed} taps), to pictures ${quickest(goes, (done) => done.pictures_ms).toFixed(0)}, of which the engine ${solve_ms.toFixed(0)} and ${draw_ms.toFixed(0)} by the wall, ${own[2].toFixed(0)} frames/s (${frames.done.toFixed(0)}); shares of a processor ${each.map((one) => one.share.toFixed(2)).join(", ")}; the machine beside the usual ${each.map((one) => one.scale.toFixed(2)).join(", ")}`;
    must(each.every((one) => one.share > 0.05 && one.share <= 1.001), told);
    must(own[0] < FIRST_MS && own[1] < TURN_MS && own[2] >= FRAMES_S, told);
    return told;
  });
}

await check("a job by thumb: open, one hole in on the left, read what it did, take the sheet along", async () => {
  const opened = await open(MAIN, DEVICES[0][1], { slower: await as_phone() });
  const { page } = opened;
  let taps = 0;
  const tap = async (place) => { taps += 1; await page.tap(place); };
  must(await page.$eval(at(PIN, "plus"), (b) => b.disabled), "something can be turned before the cautions are read");
  const before = await shown(page);
  await tap("#read");
  await tap(at(PIN, "plus"));
  const after = await shown(page);
  must(after.plan !== before.plan && after.said !== before.said, "nothing changed");
  must((await page.$$eval("#changed li", (l) => l.map((e) => e.textContent))).join().includes("2 → 3"), "the change is not told");
  must((await page.$$("#lines tr.differs")).length > 0, "no limit tells a difference");
  await tap("#sheet");
  const start = Date.now();
  await page.waitForSelector("#ready:not([hidden])", { timeout: 180000 });
  const walked_s = (Date.now() - start) / 1000;
  const coming = page.waitForEvent("download");
  await tap("#save-sheet");
  const download = await coming, file = join(process.env.BROWSER_TOOLS, "sheet.html");
  await download.saveAs(file);
  must(download.suggestedFilename() === "ferry-return-sheet.html", download.suggestedFilename());
  const sheet = readFileSync(file, "utf8");
  // The same sheet as native, byte for byte.
  const texts = new Map([["ferry-return.ron", readFileSync(join(process.env.SCENARIOS, "ferry-return.ron"), "utf8")]]);
  const twin = native(process.env.ANSWERS), set = [[PIN, "3"]];
  await twin.ask(opening("", "ferry-return.ron", texts));
  for (let left = 1; left > 0;) { const { ok } = JSON.parse(await twin.ask({ do: "reach", set })); left = ok.of - ok.done; }
  const there = JSON.parse(await twin.ask({ do: "sheet", set })).ok;
  twin.end();
  must(sheet === there, `the sheet differs from the native one: ${sheet.length} and ${there.length} bytes`);
  must(taps <= 6, `${taps} taps`);
  await closing(opened);
  return `${taps} taps; the sheet took ${walked_s.toFixed(1)} s; ${(sheet.length / 1000).toFixed(0)} kB, byte for byte as native`;
});

await check("undo, A against B, units, language, typed values and refusals", async () => {
  const opened = await open(MAIN, DEVICES[1][1]);
  const { page } = opened;
  await ready(page);
  const start = await shown(page);
  await page.tap(at(PIN, "plus"));
  await page.tap(at("left.air.cap", "plus"));
  const two = await shown(page);
  must((await page.$$("#changed li")).length === 2, "not two changes");
  await page.tap("#changed li:first-child button");
  await page.tap("#changed li:first-child button");
  must(JSON.stringify(await shown(page)) === JSON.stringify(start), "undo does not lead back");
  await page.tap(at(PIN, "plus"));
  await page.tap("#pin");
  await page.tap(at("left.air.cap", "plus"));
  must((await shown(page)).gap === two.gap, "the same set-up another way is another");
  must((await text(page, "beside-name")) === "A" && (await text(page, "gap-was")).startsWith("A:"), "A is not shown");
  await drawn(page);
  const ghost = await page.$eval("#plan", (e) => e.innerHTML);
  await page.tap("#unpin");
  await drawn(page);
  must((await page.$eval("#plan", (e) => e.innerHTML)) !== ghost, "the ghost stays");
  await page.tap("#units");
  must(/\smm$/.test(await text(page, "gap")), `gap in SI: ${await text(page, "gap")}`);
  await page.selectOption("#lang", "es");
  must((await text(page, "turn-title")) === "Girar" && (await page.$eval("html", (e) => e.lang)) === "es", "not in Spanish");
  await page.tap(at("left.air.cap", "value"));
  await page.fill("#typed", "9 psi");
  await page.tap("#typing-set");
  must((await page.$$eval("#changed li", (l) => l.map((e) => e.textContent))).join().includes("→"), "the typed value is not there");
  const good = await shown(page);
  await page.tap(at("left.air.cap", "value"));
  await page.fill("#typed", "9 bananas");
  await page.tap("#typing-set");
  await page.waitForSelector("#alert:not([hidden])");
  const told = await text(page, "alert-text");
  const texts = new Map([["ferry-return.ron", readFileSync(join(process.env.SCENARIOS, "ferry-return.ron"), "utf8")]]);
  const twin = native(process.env.ANSWERS);
  await twin.ask(opening("", "ferry-return.ron", texts));
  const { refused } = JSON.parse(await twin.ask({ do: "put", path: "left.air.cap", value: "9 bananas", set: [[PIN, "3"]] }));
  twin.end();
  must(refused.includes("bananas") && told.endsWith(refused.trim()), `«${told}» is not «${refused}»`);
  must(JSON.stringify(await shown(page)) === JSON.stringify(good), "a refusal changed something");
  const coming = page.waitForEvent("download");
  await page.tap("#file");
  const file = join(process.env.BROWSER_TOOLS, "turned.ron");
  await (await coming).saveAs(file);
  const saved = readFileSync(file, "utf8"), original = texts.get("ferry-return.ron");
  const comments = (t) => t.split("\n").filter((l) => l.includes("//")).length;
  must(saved !== original && comments(saved) === comments(original) && saved.includes("hole: 3") && saved.includes('"9 psi"'), "the saved file is not the set-up with its comments");
  await closing(opened);
});

await check("the pass plays, scrubs by touch and goes to events; with reduced motion it stands between them", async () => {
  const opened = await open(MAIN, DEVICES[0][1]);
  const { page, tools } = opened;
  await drawn(page);
  const before = await text(page, "clock");
  await page.tap("#events li:first-child button");
  await page.waitForFunction((before) => document.getElementById("clock").textContent.trim() !== before, before);
  const first = await text(page, "clock");
  await page.tap("#play");
  await page.waitForTimeout(600);
  await page.tap("#play");
  const played = await text(page, "clock");
  must(parseFloat(played) > parseFloat(first) + 0.5, `${first} to ${played}`);
  await page.locator("#scrub").scrollIntoViewIfNeeded();
  const box = await (await page.$("#scrub")).boundingBox(), y = box.y + box.height / 2;
  await tools.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x: box.x + box.width * 0.2, y }] });
  for (let i = 1; i <= 6; i += 1) await tools.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: [{ x: box.x + box.width * (0.2 + 0.1 * i), y }] });
  await tools.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  await page.waitForTimeout(100);
  must(Math.abs(parseFloat(await text(page, "clock")) - parseFloat(played)) > 3, "scrubbing does nothing");
  await closing(opened);
  const still = await open(MAIN, { ...DEVICES[0][1], reducedMotion: "reduce" });
  await still.page.tap("#events li:first-child button");
  await still.page.tap("#play");
  await still.page.waitForTimeout(300);
  const stands = await text(still.page, "clock");
  await still.page.waitForTimeout(600);
  must((await text(still.page, "clock")) === stands && stands !== first, "it moves between events");
  await closing(still);
});

await check("an engine that panics is told of and replaced, with the last set-up that worked", async () => {
  const opened = await open(MAIN, DEVICES[0][1]);
  const { page } = opened;
  await ready(page);
  await page.tap(at(PIN, "plus"));
  const good = await shown(page);
  await page.evaluate(() => { window.seen.breaks = true; });
  await page.tap(at("left.air.cap", "plus"));
  await page.waitForFunction(() => window.seen.started === 2);
  await page.waitForSelector("#alert:not([hidden])");
  const told = await text(page, "alert-text");
  must(told.includes("panicked") && told.includes("out of range"), `it says «${told}»`);
  must(JSON.stringify(await shown(page)) === JSON.stringify(good), "the set-up is lost");
  await page.tap("#alert-close");
  await page.tap(at("left.air.cap", "plus"));
  must((await page.$$("#changed li")).length === 2 && (await shown(page)).plan !== good.plan, "it does not go on");
  await closing(opened);
});

await check(`memory is flat over ${turns} turns`, async () => {
  const opened = await open(MAIN, DEVICES[0][1]);
  const { page } = opened;
  await ready(page);
  const run = (count) => page.evaluate(async (count) => {
    const paths = ["left.stop_pin.hole", "left.air.cap", "right.air.rod", "left.bearings.lower_offset", "right.counterweight.mass", "line.throughput"];
    let state = 7;
    for (let i = 0; i < count; i += 1) {
      state = (state * 48271) % 2147483647;
      const button = document.querySelector(`#turn .${state % 2 ? "plus" : "less"}[data-path="${paths[state % paths.length]}"]`);
      if (!button.disabled) button.click();
      if (i % 10 === 0) await new Promise((done) => setTimeout(done));
    }
    await new Promise((done) => setTimeout(done, 200));
    window.gc();
    await new Promise((done) => setTimeout(done, 200));
    window.gc();
    return [window.seen.memory.buffer.byteLength, performance.memory.usedJSHeapSize];
  }, count);
  // What the largest set-up takes comes first.
  const [engine_before, heap_before] = await run(300);
  const [engine_after, heap_after] = await run(turns);
  await closing(opened);
  const told = `engine ${(engine_before / 1e6).toFixed(1)} to ${(engine_after / 1e6).toFixed(1)} MB, script ${(heap_before / 1e6).toFixed(1)} to ${(heap_after / 1e6).toFixed(1)} MB`;
  must(engine_after - engine_before <= 1.5e6 && heap_after - heap_before < 2e6, told);
  return told;
});

await check("a lesson goes step by step, its answer hidden until it is asked for, a fault hidden until then", async () => {
  const opened = await open("lesson.html", DEVICES[0][1]);
  const { page } = opened;
  const visible = (id) => page.$eval(`#${id}`, (e) => e.checkVisibility());
  const first = await text(page, "caption");
  must(!(await visible("question")) && (await page.$eval("#back", (b) => b.disabled)), "the first step has a question or one before it");
  await page.tap("#on");
  await drawn(page);
  must((await text(page, "caption")) !== first && (await visible("question")) && !(await visible("answer")), "no question, or its answer at once");
  await page.tap("#reveal");
  const answer = await text(page, "answer");
  must((await visible("answer")) && answer.includes(await text(page, "gap").then((gap) => gap.replace(/\s/g, " "))), `the answer «${answer}» has not the gap ${await text(page, "gap")}`);
  await ready(page);
  await page.tap(at(PIN, "plus"));
  must((await page.$$("#changed li")).length === 3, "the step cannot be turned on");
  await page.tap("#on");
  await page.tap("#back");
  must((await page.$$("#changed li")).length === 2, "the step does not begin anew");
  await shoot(page, "lesson-phone");
  await closing(opened);
  const faults = await open("lesson-fault.html", DEVICES[0][1]);
  await faults.page.tap("#on");
  await drawn(faults.page);
  must((await faults.page.$$("#changed li")).length === 0 && (await faults.page.$$("#lines tr.differs")).length > 0, "a hidden fault shows in the settings, or nowhere");
  must(!(await faults.page.evaluate(() => document.body.innerText)).includes("Hidden here"), "the fault is told before it is asked for");
  await faults.page.tap("#reveal");
  must((await text(faults.page, "answer")).includes("Hidden here"), "the fault is not told");
  await closing(faults);
});

await check("text of the scenario stays text", async () => {
  const opened = await open("hostile.html", DEVICES[0][1]);
  const { page } = opened;
  await ready(page);
  await page.tap(at(PIN, "plus"));
  must((await page.evaluate(() => window.broken)) === undefined, "it ran");
  must((await page.locator("main img, main script, header img").count()) === 0, "it became markup");
  must((await page.textContent("#title")).includes("</script><script>window.broken=1</script>"), "the title is not shown as written");
  await closing(opened);
});

await check("the page runs its own script and engine and nothing else", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  const policy = await policyOf(page);
  must(/^default-src 'none'; script-src 'sha256-[^']+' 'wasm-unsafe-eval'; style-src 'sha256-[^']+'; worker-src blob:; base-uri 'none'; form-action 'none'$/.test(policy), `the policy is ${policy}`);
  quiet(log);
  const ran = await page.evaluate(async () => {
    const script = document.createElement("script");
    script.textContent = "window.broken = 3";
    document.body.append(script);
    const sent = await fetch("data:text/plain,x").then(() => "sent", () => "refused");
    return [window.broken, sent];
  });
  must(ran[0] === undefined && ran[1] === "refused", `another script or a request went through: ${ran}`);
  await context.close();
});

await check("without scripts or without what the engine needs, the page says so and keeps its cautions", async () => {
  const off = await open(MAIN, { ...DEVICES[0][1], javaScriptEnabled: false }, { wait: false });
  must(await off.page.isVisible("noscript, .alert"), "nothing says why there is nothing");
  must((await off.page.locator("#cautions-list li").count()) >= 6, "the cautions are missing");
  await off.context.close();
  const old = await open(MAIN, DEVICES[0][1], { wait: false, script: () => { window.DecompressionStream = undefined; } });
  await old.page.waitForFunction(() => document.getElementById("loading").textContent.includes("DecompressionStream"));
  must(await old.page.$eval("#read", (b) => b.disabled), "settings can be turned without an engine");
  await closing(old);
});

if (shots) {
  for (const [device, options] of [["phone", DEVICES[1][1]], ["desk", DESK]]) {
    const { context, page } = await open(MAIN, options);
    await drawn(page);
    await shoot(page, `opened-${device}`);
    await page.click("#read");
    await page.click(at(PIN, "plus"));
    await drawn(page);
    await page.screenshot({ path: join(shots, `turned-${device}.png`) });
    await shoot(page, `turned-whole-${device}`);
    await context.close();
  }
}
await browser.close();
console.log(`checks of the page: ${count.passed} passed, ${count.failed} failed`);
process.exit(count.failed === 0 ? 0 : 1);
