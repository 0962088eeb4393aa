// Checks of what a page does at the machine, in a browser by touch: causes of a fault, readings of the machine, and the live sheet.
import { execFileSync } from "node:child_process";
import { readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { HtmlValidate, accessible, check, count, must } from "../browser/common.mjs";
import { native, opening } from "./engine.mjs";
import { DESK, DEVICES, MAIN, PIN, as_phone, at, browser, closing, drawn, folder, open, ready, shoot, shown, text } from "./opened.mjs";
import { layout } from "./seen.mjs";

const FORM = "form.html", SMALL = "one-unit.html", MOST_BYTES = 1_600_000;
const [[, PHONE], [, WIDER]] = DEVICES;
// The wider phone at night.
const SCREENS = [DEVICES[0], [DEVICES[1][0], { ...WIDER, colorScheme: "dark" }], ["desk", DESK]];
const sign = (key) => `[data-sign="${key}"]`;
const scenario = (name) => readFileSync(join(process.env.SCENARIOS, name), "utf8");
const answers_of = async (name) => {
  const twin = native(process.env.ANSWERS);
  await twin.ask(opening("", name, new Map([[name, scenario(name)]])));
  return twin;
};
const open_fault = async (page) => {
  await page.tap("#fault-open");
  await page.waitForSelector("#fault-ticks .ticks");
};
const finished = (page) => page.waitForSelector("#fault-how-far:not(.so-far)", { timeout: 300000 });

await check("causes of a fault are run beside the page: it stays quick, tells what is not finished, can be stopped, and ends as native", async () => {
  const slower = await as_phone(), opened = await open(SMALL, WIDER, { slower });
  const { page } = opened;
  await ready(page);
  await drawn(page);
  await open_fault(page);
  await page.tap(sign("tail-missed:left"));
  must((await text(page, "fault-answer")) === "", "an answer before any cause was run");
  await page.$eval("#fault-ticks", (e) => [...e.children].forEach((box) => { box.open = true; }));
  await page.tap(sign("gradual"));
  await page.tap(sign("slams:left"));
  await page.tap(sign("slams:left"));
  must(/fine/.test(await page.$eval(sign("slams:left"), (e) => e.getAttribute("aria-label"))), "two taps are not «fine»");
  await page.fill('[data-reading="gauge:left"]', "5 bananas");
  await page.locator('[data-reading="gauge:left"]').blur();
  must((await page.$eval('[data-reading="gauge:left"] ~ .told', (e) => e.textContent)).includes("bananas"), "what is no reading is not refused");
  await page.fill('[data-reading="gauge:left"]', "5 psi");
  await page.locator('[data-reading="gauge:left"]').blur();
  const begun = performance.now();
  await page.tap("#fault-run");
  await page.waitForSelector("#fault-how-far.so-far", { timeout: 60000 });
  const early = await text(page, "fault-how-far");
  must(/NOT FINISHED/.test(early) && /\d+ of \d+ causes/.test(early), `it says «${early}»`);
  must((await page.$$("[data-check]")).length === 0, "checks can be answered before all causes were run");
  // The page turns while causes are run.
  const waits = [];
  for (let i = 0; i < 6; i += 1) {
    const before = performance.now();
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => setTimeout(done))));
    waits.push(performance.now() - before);
  }
  await page.tap("#fault-stop");
  await page.waitForSelector("#fault-run:not([hidden])", { timeout: 60000 });
  const stood = await text(page, "fault-status");
  await page.waitForTimeout(600);
  must((await text(page, "fault-status")) === stood && (await page.$("#fault-how-far.so-far")), "it does not stop, or its answer counts as finished");
  await page.tap("#fault-run");
  await finished(page);
  const took_s = (performance.now() - begun) / 1000;
  // The same told natively, all at once.
  const twin = await answers_of("one-unit.ron");
  for (let whole = false; !whole;) whole = JSON.parse(await twin.ask({ do: "fault_step" })).ok.whole;
  const there = JSON.parse(await twin.ask({ do: "fault", seen: ["tail-missed:left", "gradual"], fine: ["slams:left"], readings: ["gauge:left=5 psi"] })).ok;
  const names = await page.$$eval("#fault-answer h4", (list) => list.map((e) => e.textContent.replace(/^\d+\. /, "")));
  const its = there.rows.flatMap((row) => row.causes.map((cause) => `${cause.name}, ${cause.share}`));
  must((await text(page, "fault-headline")) === there.headline && JSON.stringify(names) === JSON.stringify(its) && names.length > 2, `${names}\nnatively\n${its}`);
  // What a check showed is taken at once.
  const first = await page.$eval("#fault-answer .check.next .what", (e) => e.textContent);
  await page.click("#fault-answer .check.next summary");
  await page.tap("#fault-answer .check.next [data-check]");
  await page.waitForSelector("#fault-answer .made");
  must((await page.$eval("#fault-answer .check.next .what", (e) => e.textContent)) !== first, "the check that was made is asked for again");
  twin.end();
  // Another set-up is another machine: said, and run anew.
  await page.tap(at("left.air.cap", "plus"));
  must(/turned since/.test(await text(page, "fault-status")) && (await page.isVisible("#fault-run")), "it does not say that the machine was changed");
  await closing(opened);
  must(Math.max(...waits) < 1000, `the page stood still for ${Math.max(...waits).toFixed(0)} ms`);
  return `${took_s.toFixed(1)} s in a worker, which no browser tool slows down; the page, ${slower.toFixed(1)}× slower, answered within ${Math.max(...waits).toFixed(0)} ms meanwhile`;
});

await check("the whole book of the demo on a phone, and what is untold stays untold", async () => {
  const opened = await open(MAIN, PHONE);
  const { page } = opened;
  await ready(page);
  await open_fault(page);
  const begun = performance.now();
  await page.tap("#fault-run");
  await page.waitForSelector("#fault-headline", { timeout: 60000 });
  must(/Nothing is told yet/.test(await text(page, "fault-headline")) && (await page.$$("#fault-answer h4")).length === 0, "causes without anything told");
  await page.tap(sign("tail-missed:left"));
  await page.waitForSelector("#fault-answer h4", { timeout: 60000 });
  await finished(page);
  const took_s = (performance.now() - begun) / 1000;
  must((await page.$$("#fault-answer h4")).length > 2, "too few causes");
  await shoot(page, "fault-answer-phone");
  const faults = await layout(page);
  must(faults.length === 0, faults.join("\n"));
  await page.tap("#fault-clear");
  await page.waitForFunction(() => document.querySelectorAll("#fault-answer h4").length === 0);
  await closing(opened);
  return `${took_s.toFixed(1)} s at full speed`;
});

for (const [device, options] of SCREENS) for (const name of [MAIN, "ferry-return-es.html", "ferry-return-fr.html"]) {
  await check(`what is wrong with a brush, on a ${device}, ${name}: nothing small, cut, overprinted or sticking out; the accessibility rules`, async () => {
    const opened = await open(name, options);
    const { page } = opened;
    await ready(page, Boolean(options.hasTouch));
    await page.click("#fault-open");
    await page.$eval("#fault-ticks", (e) => [...e.children].forEach((box) => { box.open = true; }));
    await page.click(sign("tail-missed:left"));
    await page.click(sign("tail-missed:right"));
    await page.click(sign("tail-missed:right"));
    await page.click("#fault-run");
    await page.waitForSelector("#fault-answer h4", { timeout: 120000 });
    await page.click("#fault-stop");
    await page.waitForSelector("#fault-run:not([hidden])");
    await page.$eval("#fault-answer", (e) => e.querySelectorAll("details").forEach((box) => { box.open = true; }));
    await drawn(page);
    await shoot(page, `fault-${name}-${device.replaceAll(" ", "-")}`);
    const faults = await layout(page);
    must(faults.length === 0, faults.join("\n"));
    const told = await accessible(page);
    await closing(opened);
    return told;
  });
}

const card = (key) => `details[data-card="${key}"]`;
const field = (key, entry, name, i = 0) => `#value-${key.replaceAll(" ", "-")}-${entry}-${name}-${i}`;
const stands = (page) => page.waitForSelector('#form[aria-busy="false"]');
const fill = async (page, place, value) => { await page.fill(place, value); await page.locator(place).blur(); };

await check(`the form: ${FORM} is one file; cards in the order of their worth`, async () => {
  const size = statSync(join(folder, FORM)).size;
  must(size < MOST_BYTES, `${size} bytes`);
  const opened = await open(FORM, PHONE);
  const { page } = opened;
  await stands(page);
  const order = await page.$$eval("details.card", (list) => list.map((e) => e.dataset.card));
  const advised = JSON.parse(execFileSync(process.env.BRUSHARM, ["calibrate", join(process.env.SCENARIOS, "ferry-return.ron"), "--advise", "tail_gap", "--format", "json"])).advice.tests.map((test) => test.test ?? test.name);
  must(order.length > 12 && JSON.stringify(order.slice(0, advised.length)) === JSON.stringify(advised), `${order}\nadvised\n${advised}`);
  await closing(opened);
  return `${(size / 1000).toFixed(0)} kB; ${order.slice(0, 3).join(", ")} …`;
});

await check("readings are checked as they come, refused as natively, kept on the device, and the command reads the file", async () => {
  const opened = await open(FORM, WIDER, { slower: await as_phone() });
  const { page, context } = opened;
  await stands(page);
  await page.click(`${card("weigh")} > summary`);
  const mass = field("weigh", 0, "mass"), told = `${card("weigh")} .value-box .told`;
  await fill(page, mass, "12.2");
  await page.waitForFunction((place) => /expects/.test(document.querySelector(place).textContent), told);
  must(!(await page.$(`${card("weigh")} .told.far`)), "a sound reading is called far");
  await page.selectOption(`${mass} ~ select`, "kg");
  await page.waitForSelector(`${card("weigh")} .told.far`);
  must(/lb would fit/.test(await page.$eval(told, (e) => e.textContent)), "the unit that would fit is not told");
  await fill(page, mass, "12 psi");
  await page.waitForFunction((place) => document.querySelector(place).textContent !== "", `${card("weigh")} .refused-text`);
  const twin = await answers_of("ferry-return.ron");
  const { refused } = JSON.parse(await twin.ask({ do: "form_beside", form: { of: "Both", readings: [{ test: "weigh", at: 0, given: { mass: ["12 psi"] } }] } }));
  twin.end();
  must(refused.includes("a mass is wanted") && (await page.$eval(`${card("weigh")} .refused-text`, (e) => e.textContent)) === refused, "the refusal is not the native one");
  await fill(page, mass, "12.2");
  await page.selectOption(`${mass} ~ select`, "lb");
  await page.click(`${card("weigh")} .entry .buttons button`);
  await fill(page, field("weigh", 0, "mass", 1), "12.1 lb");
  await page.click(`${card("gaps")} > summary`);
  await fill(page, field("gaps", 0, "upper"), "1");
  await fill(page, field("gaps", 0, "lower"), "1-1/16");
  await page.waitForFunction((place) => [...document.querySelectorAll(place)].some((e) => /expects/.test(e.textContent)), `${card("gaps")} .told`);
  await fill(page, "#form-title", 'A quarter hour "by thumb"');
  must(/Kept on this device/.test(await text(page, "form-kept")), "it does not say that readings are kept");
  // Gone and back.
  await page.reload();
  await page.waitForFunction(() => window.seen.first_ms !== null);
  await stands(page);
  must(/: 4;/.test(await text(page, "form-count")), await text(page, "form-count"));
  await page.click(`${card("weigh")} > summary`);
  must((await page.inputValue(mass)) === "12.2" && (await page.inputValue(field("weigh", 0, "mass", 1))) === "12.1 lb", "readings were not kept");
  const coming = page.waitForEvent("download");
  await page.tap("#form-save");
  const download = await coming, file = join(process.env.BROWSER_TOOLS, "brought-readings.ron");
  await download.saveAs(file);
  must(download.suggestedFilename() === "ferry-return-readings.ron", download.suggestedFilename());
  const brought = readFileSync(file, "utf8");
  must(brought.includes('mass: ["12.2 lb", "12.1 lb"]') && brought.includes('lower: "1-1/16 in"') && brought.includes('\\"by thumb\\"'), brought);
  const learned = execFileSync(process.env.BRUSHARM, ["calibrate", join(process.env.SCENARIOS, "ferry-return.ron"), file], { encoding: "utf8" });
  must(learned.includes("What was learned"), learned);
  await page.tap("#form-forget");
  await page.tap("#form-forget");
  await page.waitForFunction(() => document.getElementById("form-save").disabled);
  await closing(opened);
  void context;
});

await check("where nothing can be kept, the form says so", async () => {
  const opened = await open(FORM, PHONE, { script: () => { Object.defineProperty(window, "localStorage", { get: () => { throw new Error("no storage here"); } }); } });
  const { page } = opened;
  await stands(page);
  await fill(page, "#form-title", "x");
  must(/cannot keep readings.*no storage here/.test(await text(page, "form-kept")), await text(page, "form-kept"));
  await closing(opened);
});

await check("a stopwatch by thumb, and a film stepped to its marks, give times and frames", async () => {
  const opened = await open(FORM, WIDER);
  const { page, context } = opened;
  await stands(page);
  await page.click(`${card("timed swing")} > summary`);
  await page.tap(`${card("timed swing")} [data-watch]`);
  const begun = performance.now();
  await page.tap("#watch-go");
  await page.waitForTimeout(700);
  await page.tap("#watch-lap");
  await page.waitForTimeout(400);
  await page.tap("#watch-go");
  const most = (performance.now() - begun) / 1000;
  const stood = parseFloat(await text(page, "watch-time"));
  must(stood > 1.05 && stood < most + 0.05, `${stood} s of at most ${most}`);
  const laps = await page.$$eval("#watch-laps li span", (list) => list.map((e) => e.textContent));
  must(laps.length === 2 && parseFloat(/[\d.]+ s/.exec(laps[1])[0]) < stood, laps.join());
  await accessible(page);
  await shoot(page, "form-watch");
  await page.tap("#watch-laps li:first-child button");
  must(Math.abs(Number(await page.inputValue(field("timed swing", 0, "time"))) - stood) < 0.006, "the time is not taken");
  // A film made here: 60 frames at 20 a second.
  const maker = await context.newPage();
  await maker.goto("about:blank");
  const bytes = await maker.evaluate(async () => {
    const canvas = document.createElement("canvas");
    canvas.width = 160; canvas.height = 90;
    const g = canvas.getContext("2d"), stream = canvas.captureStream(20), recorder = new MediaRecorder(stream, { mimeType: "video/webm;codecs=vp8" }), parts = [];
    recorder.ondataavailable = (event) => parts.push(event.data);
    recorder.start();
    const from = performance.now();
    while (performance.now() - from < 3000) {
      g.fillStyle = `hsl(${(performance.now() - from) / 10} 80% 50%)`; g.fillRect(0, 0, 160, 90);
      await new Promise((done) => requestAnimationFrame(done));
    }
    await new Promise((done) => { recorder.onstop = done; recorder.stop(); });
    return [...new Uint8Array(await new Blob(parts).arrayBuffer())];
  });
  await maker.close();
  const movie = join(process.env.BROWSER_TOOLS, "film.webm");
  writeFileSync(movie, Buffer.from(bytes));
  await page.click(`${card("filmed swing")} > summary`);
  await page.tap(`${card("filmed swing")} [data-film]`);
  await page.fill("#film-rate", "20");
  await page.setInputFiles("#film-file", movie);
  await page.waitForSelector("#film-steps:not([hidden])");
  const step = (by, times = 1) => (async () => { for (let i = 0; i < times; i += 1) await page.tap(`#film-steps [data-by="${by}"]`); })();
  await step(1, 3);
  await page.tap("#film-start");
  await step(10);
  await step(1, 2);
  await page.tap("#film-mark");
  await step(10);
  await step(-1);
  await page.tap("#film-mark");
  must((await page.$eval("#film-video", (v) => v.videoWidth)) === 160, "the film is not shown");
  must(/frame 24, 1.20 s/.test(await text(page, "film-at")), await text(page, "film-at"));
  const at_s = await page.$eval("#film-video", (v) => v.currentTime);
  must(Math.abs(at_s - 24.5 / 20) < 0.03, `the film stands at ${at_s} s`);
  await accessible(page);
  await shoot(page, "form-film");
  await page.tap("#film-use");
  must((await page.inputValue(field("filmed swing", 0, "marks", 0))) === "12" && (await page.inputValue(field("filmed swing", 0, "marks", 1))) === "21", "the marks are not taken");
  must((await page.inputValue(field("filmed swing", 0, "frames_per_second"))) === "20", "the frame rate is not taken");
  await closing(opened);
  return `${stood} s on the watch; a film of ${(bytes.length / 1000).toFixed(0)} kB`;
});

for (const [device, options] of SCREENS) {
  await check(`the form on a ${device}: every card open, nothing small, cut or sticking out; the accessibility rules in three languages`, async () => {
    const opened = await open(FORM, options);
    const { page } = opened;
    await stands(page);
    let told = "";
    for (const lang of ["en", "es", "fr"]) {
      if (lang !== "en") {
        await page.selectOption("#lang", lang);
        await page.waitForFunction((lang) => document.documentElement.lang === lang, lang);
        await page.waitForTimeout(1500);
      }
      await page.$$eval("details.card", (list) => list.forEach((box) => { box.open = true; }));
      await page.$eval("#form-instruments details", (box) => { box.open = true; });
      await page.waitForTimeout(500);
      await drawn(page);
      await shoot(page, `form-${lang}-${device.replaceAll(" ", "-")}`);
      const faults = await layout(page);
      must(faults.length === 0, `${lang}: ${faults.join("\n")}`);
      told = await accessible(page);
    }
    await closing(opened);
    return told;
  });
}

const sheets = process.env.SHEETS, sheet = (name) => pathToFileURL(join(sheets, name)).href;
const validator = new HtmlValidate({ extends: ["html-validate:recommended", "html-validate:document", "html-validate:a11y"] });
await check("the live sheet: one valid file; on paper it is the sheet without", async () => {
  const whole = readFileSync(join(sheets, "live.html"), "utf8"), bare = whole.replace(/(id="engine" data-bytes="\d+">)[^<]*</, "$1<");
  must(whole.length - bare.length > 900_000 && whole.length < 2_200_000, `${whole.length} bytes, ${bare.length} without the engine`);
  const report = await validator.validateString(bare, "live.html");
  must(report.valid, report.results.flatMap((r) => r.messages).slice(0, 8).map((m) => `${m.line}:${m.column} ${m.ruleId} ${m.message}`).join("\n"));
  const papers = [];
  for (const name of ["plain.html", "live.html"]) {
    const context = await browser.newContext(DESK), page = await context.newPage();
    await page.goto(sheet(name));
    if (name === "live.html") {
      await page.click("#live-open");
      await page.waitForSelector("#live-inner:not([hidden])");
    }
    const pdf = await page.pdf({ format: "Letter" });
    await page.emulateMedia({ media: "print" });
    papers.push({ pages: pdf.toString("latin1").match(/\/Type\s*\/Page\b/g).length, words: await page.evaluate(() => document.querySelector("main").innerText.replace(/\s+/g, " ")), picture: (await page.screenshot({ fullPage: true })).toString("base64") });
    await context.close();
  }
  const [plain, live] = papers;
  must(plain.pages === live.pages && plain.words === live.words && plain.words.length > 3000, `${plain.pages} and ${live.pages} pages, ${plain.words.length} and ${live.words.length} letters`);
  must(plain.picture === live.picture, "what is printed looks different");
  return `${(whole.length / 1000).toFixed(0)} kB, ${live.pages} pages either way`;
});
for (const [device, options] of SCREENS) {
  await check(`the live sheet on a ${device}: as left and as found are turned there, refused, undone`, async () => {
    const context = await browser.newContext(options), page = await context.newPage(), said = [];
    page.on("console", (message) => said.push(message.text()));
    page.on("pageerror", (error) => said.push(error.message));
    page.on("request", (request) => { if (!request.url().startsWith("blob:") && request.url() !== sheet("live.html")) said.push(request.url()); });
    await page.goto(sheet("live.html"));
    must(!(await page.isVisible("#live-inner")), "it is open before anybody asked");
    await page.click("#live-open");
    await page.waitForSelector("#live-inner:not([hidden])");
    const pin = (kind) => `#first .${kind}[data-path="left.stop_pin.hole"]`;
    must((await text(page, "live-changed")).includes("2 → 3"), `as left: ${await text(page, "live-changed")}`);
    const left = await text(page, "live-said");
    await page.click("#live-which button:nth-child(2)");
    must((await text(page, "live-changed")) === "" && (await text(page, "live-said")) !== left, "as found is as left");
    await page.click(pin("plus"));
    must((await text(page, "live-said")) === left && (await text(page, "live-changed")).includes("2 → 3"), "the same set-up another way is another");
    const gap = await text(page, "live-gap");
    await page.click('#first .value[data-path="left.air.cap"]');
    await page.fill("#typed", "9 bananas");
    await page.click("#typing-set");
    await page.waitForSelector("#alert:not([hidden])");
    must((await text(page, "alert-text")).includes("bananas") && (await text(page, "live-gap")) === gap, "no refusal, or it changed something");
    await page.click("#alert-close");
    if (process.env.WEB_SHOTS) await page.locator("#live").screenshot({ path: join(process.env.WEB_SHOTS, `live-sheet-${device.replaceAll(" ", "-")}.png`) });
    const small = await page.$$eval("#live button, #live select, #live summary", (list) => list.filter((e) => e.checkVisibility()).map((e) => [e.textContent, e.getBoundingClientRect()]).filter(([, b]) => b.width < 43.9 || b.height < 43.9).map(([t, b]) => `${t}: ${b.width} × ${b.height}`));
    must(small.length === 0, small.join("\n"));
    must(await page.evaluate(() => document.documentElement.scrollWidth <= document.documentElement.clientWidth), "the page is wider than the screen");
    await page.click("#live-changed button");
    must((await text(page, "live-changed")) === "", "undo does not lead back");
    const told = await accessible(page);
    must(said.length === 0, said.join("\n"));
    await context.close();
    return told;
  });
}
await check("the live sheet without what the engine needs says so", async () => {
  const context = await browser.newContext(PHONE), page = await context.newPage();
  await page.addInitScript(() => { window.DecompressionStream = undefined; });
  await page.goto(sheet("live.html"));
  await page.tap("#live-open");
  await page.waitForSelector("#live-none:not([hidden])");
  must((await text(page, "live-none")).includes("DecompressionStream"), await text(page, "live-none"));
  await context.close();
});

await browser.close();
console.log(`checks at the machine: ${count.passed} passed, ${count.failed} failed`);
process.exit(count.failed === 0 ? 0 : 1);
