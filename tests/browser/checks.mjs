// Checks of the set-up sheet in a browser. Prints one line a check and one at the end; any failure ends with code 1.
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { HtmlValidate, accessible, check, count, launched, must } from "./common.mjs";

const folder = process.env.SHEETS;
const shots = process.env.SHEET_SHOTS;
if (shots) mkdirSync(shots, { recursive: true });
const PHONE = { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 };
const DESK = { viewport: { width: 1280, height: 900 } };
// Smallest letters, CSS pixels; a hundredth is lost in rounding.
const SMALLEST = 10.99;

const browser = await launched();

/** Opens a sheet and keeps account of console messages, errors and requests. */
const open = async (name, options) => {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const log = { console: [], errors: [], requests: [] };
  page.on("console", (message) => log.console.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", (error) => log.errors.push(error.message));
  const url = pathToFileURL(join(folder, name)).href;
  page.on("request", (request) => { if (request.url() !== url) log.requests.push(request.url()); });
  await page.goto(url);
  await page.waitForTimeout(150);
  return { context, page, log };
};
const quiet = (log) => {
  must(log.errors.length === 0, `errors: ${log.errors.join("; ")}`);
  must(log.console.length === 0, `console: ${log.console.join("; ")}`);
  must(log.requests.length === 0, `requests: ${log.requests.join("; ")}`);
};
const time = (page) => page.$eval("#read-time", (e) => parseFloat(e.textContent));

/** Letters that are too small, and things that stick out of the page; visible ones only. */
const layout = (page) => page.evaluate((smallest) => {
  const faults = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let letters = 0;
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const text = node.textContent.trim(), parent = node.parentElement;
    if (!text || !parent.checkVisibility() || parent.closest("script, style, title, option")) continue;
    const svg = parent.ownerSVGElement;
    const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    const size = parseFloat(getComputedStyle(parent).fontSize) * scale;
    letters += text.length;
    if (size < smallest) faults.push(`«${text.slice(0, 30)}» is ${size.toFixed(2)} px`);
  }
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide) faults.push(`the page is ${document.documentElement.scrollWidth} wide in ${wide}`);
  for (const element of document.querySelectorAll("main *")) {
    if (!element.checkVisibility() || element.closest(".scroll, svg, canvas")) continue;
    const box = element.getBoundingClientRect();
    if (box.width > 0 && (box.right > wide + 1 || box.left < -1)) faults.push(`${element.tagName}.${element.className} sticks out to ${box.right.toFixed(0)}`);
  }
  if (letters < 2000) faults.push(`only ${letters} letters seen`);
  return faults.slice(0, 8);
}, SMALLEST);

const pictureHash = (page) => page.$eval("#stage", (canvas) => {
  let sum = 0;
  for (const c of canvas.toDataURL()) sum = (sum * 31 + c.charCodeAt(0)) % 4294967291;
  return sum;
});
const inkShare = (page) => page.$eval("#stage", (canvas) => {
  const data = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
  let inked = 0;
  for (let i = 3; i < data.length; i += 4) if (data[i] > 0) inked += 1;
  return inked / (data.length / 4);
});

const validator = new HtmlValidate({ extends: ["html-validate:recommended", "html-validate:document", "html-validate:a11y"] });
const sheets = readdirSync(folder).filter((name) => name.endsWith(".html")).sort();
must(sheets.length >= 5, "too few sheets to check");

for (const name of sheets) {
  await check(`${name} is one file under 1 MB with no address in it`, () => {
    const size = statSync(join(folder, name)).size, text = readFileSync(join(folder, name), "utf8");
    must(size < 1_000_000 && size > 50_000, `${size} bytes`);
    for (const word of ["http:", "https:", "@import", "<link", "<iframe", "url("]) must(!text.includes(word), `holds ${word}`);
    return `${(size / 1000).toFixed(0)} kB`;
  });
  await check(`${name} is valid HTML`, async () => {
    const report = await validator.validateString(readFileSync(join(folder, name), "utf8"), name);
    must(report.valid, report.results.flatMap((r) => r.messages).slice(0, 8).map((m) => `${m.line}:${m.column} ${m.ruleId} ${m.message}`).join("\n"));
  });
  for (const [device, options] of [["phone", PHONE], ["desk", DESK]]) {
    await check(`${name} opens on a ${device}, nothing asked for, nothing complained of, nothing too small or sticking out`, async () => {
      const { context, page, log } = await open(name, options);
      const faults = await layout(page);
      must(faults.length === 0, faults.join("\n"));
      must((await inkShare(page)) > 0.05, "the replay shows nothing");
      if (shots) await page.screenshot({ path: join(shots, `${name}-${device}.png`), fullPage: true });
      await context.close();
      quiet(log);
    });
    for (const colorScheme of ["light", "dark"]) {
      await check(`${name} passes the accessibility rules on a ${device}, ${colorScheme}`, async () => {
        const { context, page } = await open(name, { ...options, colorScheme });
        const told = await accessible(page);
        if (shots && colorScheme === "dark") await page.screenshot({ path: join(shots, `${name}-${device}-dark.png`), fullPage: true });
        await context.close();
        return told;
      });
    }
  }
  await check(`${name} prints on at most two pages of A4 and of US letter, with nothing cut`, async () => {
    const { context, page } = await open(name, DESK);
    const told = [];
    for (const format of ["A4", "Letter", "Letter in a wide font"]) {
      const file = join(process.env.BROWSER_TOOLS, `${name}-${format}.pdf`);
      // The sheet takes the fonts of the machine it is printed from; this one is as wide as they come.
      if (format.includes("wide")) await page.evaluate((css) => { const sheet = new CSSStyleSheet(); sheet.replaceSync(css); document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]; }, "body, svg { font-family: 'DejaVu Sans', Verdana, sans-serif !important }");
      await page.pdf({ path: file, format: format.split(" ")[0], printBackground: false });
      const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync("pdfinfo", [file], { encoding: "utf8" }))[1]);
      must(pages <= 2, `${format}: ${pages} pages`);
      // What a reader of the page sees in print, word for word, must be in the printed file: tables, steps, foot.
      await page.emulateMedia({ media: "print" });
      const wanted = await page.evaluate(() => {
        const words = [];
        const walker = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
        for (let node = walker.nextNode(); node; node = walker.nextNode()) {
          const parent = node.parentElement;
          if (parent.checkVisibility() && !parent.closest("script, title, option, svg, bdi")) words.push(...node.textContent.trim().split(/\s+/));
        }
        return words.filter((w) => /^[\p{L}]{3,}$/u.test(w));
      });
      await page.emulateMedia({ media: null });
      const printed = execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" }).normalize("NFC");
      const lower = printed.toLowerCase().replace(/\s+/g, "");
      const lost = wanted.filter((w) => !lower.includes(w.toLowerCase()));
      must(wanted.length > 300, `only ${wanted.length} words wanted`);
      must(lost.length === 0, `${format}: not printed: ${[...new Set(lost)].slice(0, 12).join(", ")}`);
      must(/brusharm \d/.test(printed), `${format}: the last line is not printed`);
      if (shots) execFileSync("pdftoppm", ["-r", "100", "-png", file, join(shots, `${name}-${format.replaceAll(" ", "-")}`)]);
      told.push(`${format} ${pages}`);
    }
    // In print, at the width of the narrower sheet, nothing may stick out of the page either.
    await page.setViewportSize({ width: 718, height: 1000 });
    await page.emulateMedia({ media: "print" });
    const out = await page.evaluate(() => [...document.querySelectorAll("main *")]
      .filter((e) => e.checkVisibility() && !e.closest("svg") && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
      .map((e) => `${e.tagName}.${e.className}`).slice(0, 5));
    must(out.length === 0, `sticks out: ${out.join(", ")}`);
    await context.close();
    return told.join(", ");
  });
}

const MAIN = "steps-en.html";
await check("the field form prints on one page of A4 and of US letter in each language, its last test with the others", async () => {
  const forms = readdirSync(process.env.FORMS).sort();
  must(forms.length === 3, `${forms.length} forms`);
  const context = await browser.newContext(DESK), page = await context.newPage();
  for (const form of forms) {
    await page.goto(`file://${join(process.env.FORMS, form)}`);
    // Fonts are those of the machine it is printed from; this one is as wide as they come.
    await page.addStyleTag({ content: "body { font-family: 'DejaVu Sans', Verdana, sans-serif !important }" });
    const tests = await page.locator("tr").count();
    must(tests > 12, `${form}: ${tests} tests`);
    const last = (await page.locator("tr").last().locator("b").first().textContent()).split(" ")[0];
    for (const format of ["A4", "Letter"]) {
      const file = join(process.env.BROWSER_TOOLS, `form-${form}-${format}.pdf`);
      await page.pdf({ path: file, format });
      const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync("pdfinfo", [file], { encoding: "utf8" }))[1]);
      must(pages === 1, `${form}, ${format}: ${pages} pages`);
      must(execFileSync("pdftotext", [file, "-"], { encoding: "utf8" }).includes(last), `${form}, ${format}: no «${last}»`);
    }
  }
  await context.close();
});

await check("the replay plays and pauses by click", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  await page.click(".events li:first-child button");
  const start = await time(page), before = await pictureHash(page);
  await page.click("#play");
  await page.waitForTimeout(700);
  const during = await time(page);
  await page.click("#play");
  const stopped = await time(page);
  await page.waitForTimeout(300);
  must(during !== start, "time stands still");
  must((await time(page)) === stopped, "it does not pause");
  must((await pictureHash(page)) !== before, "the picture stands still");
  await context.close();
  quiet(log);
  return `${start} s to ${stopped} s`;
});
await check("the slider, the events and the keys move the replay", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  await page.locator("#scrub").scrollIntoViewIfNeeded();
  const box = await (await page.$("#scrub")).boundingBox();
  await page.mouse.click(box.x + box.width * 0.25, box.y + box.height / 2);
  const quarter = await time(page);
  await page.mouse.click(box.x + box.width * 0.75, box.y + box.height / 2);
  const later = await time(page);
  must(later > quarter + 5, `${quarter} s, ${later} s`);
  const event = page.locator(".events button").nth(3);
  const wanted = Number(await event.getAttribute("data-ms")) / 1000;
  await event.click();
  must(Math.abs((await time(page)) - wanted) < 0.06, `event at ${wanted}, shown ${await time(page)}`);
  must(await event.evaluate((e) => e.hasAttribute("data-now")), "the event is not marked");
  await page.click("#next");
  const next = await time(page);
  must(next > wanted, "next does not go on");
  await page.click("#prev");
  must((await time(page)) < next, "previous does not go back");
  await page.focus("#scrub");
  const at = await time(page);
  await page.keyboard.press("ArrowRight");
  must((await time(page)) > at, "the arrow key does nothing");
  await page.keyboard.press("PageDown");
  must((await time(page)) > at + 0.2, "Page Down does nothing");
  await page.keyboard.press("Space");
  await page.waitForTimeout(300);
  must((await page.getAttribute("#play", "aria-label")) === "Pause", "Space does not play");
  await page.keyboard.press("Space");
  await context.close();
  quiet(log);
});
await check("after an event was tapped, the space bar plays on from there; who came by the keyboard stays on the event", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  const event = page.locator(".events button").nth(2), wanted = Number(await event.getAttribute("data-ms")) / 1000;
  await event.click();
  await page.keyboard.press("Space");
  await page.waitForTimeout(300);
  must((await page.getAttribute("#play", "aria-label")) === "Pause", "Space does not play");
  await page.keyboard.press("Space");
  must((await time(page)) > wanted, "it did not move on from the event");
  await event.focus();
  await page.keyboard.press("Space");
  must(Math.abs((await time(page)) - wanted) < 0.06, "Space on an event does not go there");
  must(await event.evaluate((e) => e === document.activeElement), "the event lost the keyboard");
  await context.close();
  quiet(log);
});
await check("on a phone what to do comes after the cautions, and a table that goes on to the right says so", async () => {
  const { context, page, log } = await open(MAIN, PHONE);
  const top = (of) => page.$eval(of, (e) => e.getBoundingClientRect().top);
  const [cautions, steps, pictures, replay] = [await top(".cautions"), await top(".to-do"), await top(".pictures"), await top("#replay")];
  must(cautions < steps && steps < Math.min(pictures, replay), `${cautions} ${steps} ${pictures} ${replay}`);
  const cues = await page.$$eval(".scroll", (all) => all.map((e) => [e.scrollWidth > e.clientWidth + 1, e.previousElementSibling.matches(".more-columns") && e.previousElementSibling.checkVisibility()]));
  must(cues.length > 1 && cues.every(([wide, said]) => wide && said), JSON.stringify(cues));
  const desk = await open(MAIN, DESK);
  must((await desk.page.$$eval(".more-columns", (all) => all.filter((e) => e.checkVisibility()).length)) === 0, "said where all is seen");
  await desk.context.close();
  await context.close();
  quiet(log);
});
await check("dragging the picture and the curve scrubs with a mouse", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  for (const id of ["#stage", "#trace"]) {
    await page.locator(id).scrollIntoViewIfNeeded();
    const box = await (await page.$(id)).boundingBox();
    await page.mouse.move(box.x + box.width * 0.6, box.y + box.height / 2);
    await page.mouse.down();
    const before = await time(page);
    await page.mouse.move(box.x + box.width * 0.3, box.y + box.height / 2, { steps: 5 });
    const after = await time(page);
    await page.mouse.up();
    must(after < before - 5, `${id}: ${before} s to ${after} s`);
  }
  await context.close();
  quiet(log);
});
await check("the replay plays, jumps and scrubs by touch", async () => {
  const { context, page, log } = await open(MAIN, PHONE);
  await page.locator("#play").scrollIntoViewIfNeeded();
  const start = await time(page);
  await page.tap("#play");
  await page.waitForTimeout(500);
  await page.tap("#play");
  must((await time(page)) !== start, "a tap does not play");
  await page.tap(".events li:first-child button");
  const first = Number(await page.locator(".events button").first().getAttribute("data-ms")) / 1000;
  must(Math.abs((await time(page)) - first) < 0.06, "a tap does not go to the event");
  const touch = await context.newCDPSession(page);
  for (const id of ["#trace", "#scrub"]) {
    await page.locator(id).scrollIntoViewIfNeeded();
    const box = await (await page.$(id)).boundingBox();
    const y = box.y + box.height / 2, x = (share) => box.x + box.width * share;
    await page.touchscreen.tap(x(0.2), y);
    const before = await time(page);
    await touch.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x: x(0.2), y }] });
    for (let i = 1; i <= 8; i++) await touch.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: [{ x: x(0.2 + 0.06 * i), y }] });
    await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    const after = await time(page);
    must(after > before + 5, `${id}: ${before} s to ${after} s`);
  }
  await context.close();
  quiet(log);
});
await check("the other set-up can be shown and hidden", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  const shown = await pictureHash(page);
  await page.uncheck("#ghost");
  const hidden = await pictureHash(page);
  must(shown !== hidden, "the picture does not change");
  await page.check("#ghost");
  must((await pictureHash(page)) === shown, "it does not come back");
  await context.close();
  quiet(log);
});
await check("with reduced motion the replay goes from event to event and stands still between", async () => {
  const { context, page, log } = await open(MAIN, { ...DESK, reducedMotion: "reduce" });
  await page.click(".events li:first-child button");
  const times = await page.$$eval(".events button", (list) => list.map((b) => Number(b.dataset.ms) / 1000));
  await page.click("#play");
  const first = await time(page), hash = await pictureHash(page);
  await page.waitForTimeout(700);
  must((await time(page)) === first && (await pictureHash(page)) === hash, "it moves between events");
  must(times.some((t) => Math.abs(t - first) < 0.06), `${first} s is no event`);
  await page.waitForTimeout(1100);
  must((await time(page)) > first, "it does not go on");
  await context.close();
  quiet(log);
});
await check("without scripts the still pictures and every table remain", async () => {
  const { context, page } = await open(MAIN, { ...DESK, javaScriptEnabled: false });
  must(!(await page.isVisible("#replay")), "the dead replay is shown");
  must(await page.isVisible(".no-script"), "nothing says why there is no replay");
  must((await page.locator(".desk > svg").count()) === 2, "pictures are missing");
  for (const box of await page.locator(".desk > svg").all()) must((await box.boundingBox()).height > 120, "a picture is flat");
  must((await page.locator("table").count()) >= 2, "tables are missing");
  await context.close();
});
for (const [device, options] of [["phone", PHONE], ["desk", DESK]]) for (const lang of ["en", "fr"]) {
  await check(`a sweep, a nudge, a spread and a comparison stand on the sheet (${device}, ${lang})`, async () => {
    const { context, page, log } = await open(`studies-${lang}.html`, options);
    const studies = await page.$$eval(".study", (list) => list.map((study) => {
      const seen = [...study.querySelectorAll("figure svg")].filter((svg) => svg.checkVisibility());
      return {
        title: study.querySelector("h3").textContent,
        rows: study.querySelectorAll("tbody tr").length,
        marks: [...study.querySelectorAll("td.grade")].map((cell) => cell.textContent.trim()[0]),
        cells: [...study.querySelectorAll("td")].map((cell) => cell.textContent),
        maps: seen.map((svg) => ({
          named: svg.getAttribute("aria-label") ?? "",
          texts: [...svg.querySelectorAll("text")].map((text) => text.textContent),
          width: svg.getBoundingClientRect().width,
        })),
      };
    }));
    must(studies.length === 4, `${studies.length} studies`);
    for (const study of studies) must(study.title.length > 3 && study.rows >= 3, `«${study.title}» has ${study.rows} rows`);
    const [sweep, nudge, spread, compare] = studies;
    must(sweep.maps.length === 1, `${sweep.maps.length} maps are seen`);
    const [map] = sweep.maps;
    must(map.named.includes("veh/h") && map.named.includes("psi"), `the map is named «${map.named}»`);
    must(map.width > 300, `the map is ${map.width} wide`);
    // Every cell of the map has its number and the sign of its verdict, the same signs as the table; and the key says what the line is.
    const inCells = map.texts.filter((text) => /^[-−]?[\d.]+†? [✓≈✗]$/.test(text)).map((text) => text.at(-1));
    must(inCells.length === 9 && sweep.marks.length === 9, `${inCells.length} cells in the map (${map.texts}), ${sweep.marks.length} in the table`);
    must([...inCells].sort().join() === [...sweep.marks].sort().join(), `map ${inCells}, table ${sweep.marks}`);
    must(new Set(inCells).size > 1, "all cells have the same verdict");
    const line = lang === "en" ? "where the verdict changes" : "où le résultat change";
    must(map.texts.includes(line), `no «${line}» in the key`);
    must(nudge.cells.some((cell) => /[+−][\d.]+/.test(cell)), "the nudge table holds no change");
    must(spread.cells.filter((cell) => /^\d+ % \(\d+–\d+ %\)$/.test(cell)).length > 10, "the spread table holds no shares");
    must(new Set(compare.marks).size === 2 && compare.rows === 3, `marks of the comparison: ${compare.marks}`);
    await context.close();
    quiet(log);
    return `${inCells.filter((sign) => sign !== "✗").length} of 9 cells keep every limit`;
  });
}
await check("text of the scenario stays text", async () => {
  const { context, page, log } = await open("hostile.html", DESK);
  await page.waitForTimeout(200);
  must((await page.evaluate(() => window.broken)) === undefined, "it ran");
  must((await page.locator("main img, main script").count()) === 0, "it became markup");
  must((await page.textContent(".name")).includes("</script><script>window.broken=1</script>"), "the title is not shown as written");
  await context.close();
  quiet(log);
});
await check("the page runs its own script and nothing else", async () => {
  const { context, page, log } = await open(MAIN, DESK);
  const policy = await page.$eval('meta[http-equiv="Content-Security-Policy"]', (meta) => meta.content);
  must(policy.startsWith("default-src 'none'; script-src 'sha256-") && !policy.includes("unsafe"), `the policy is ${policy}`);
  must((await page.textContent("#read-time")).trim() !== "", "its own script did not run");
  must((await page.evaluate(() => getComputedStyle(document.body).getPropertyValue("--ink"))).trim() !== "", "its own style did not apply");
  quiet(log);
  // Markup that got in would not run, and the browser says so.
  const ran = await page.evaluate(() => {
    const script = document.createElement("script");
    script.textContent = "window.broken = 3";
    document.body.append(script);
    return window.broken;
  });
  must(ran === undefined, "another script ran");
  must(log.console.some((line) => line.includes("Content Security Policy")), "the refusal is not reported");
  await context.close();
});
await check("focus is seen on everything that takes it", async () => {
  const { context, page } = await open(MAIN, DESK);
  const unseen = await page.evaluate(() => {
    const faults = [];
    for (const element of document.querySelectorAll("main input, main button, main select, main [tabindex]")) {
      if (!element.checkVisibility()) continue;
      element.focus({ focusVisible: true });
      const style = getComputedStyle(element);
      if (document.activeElement !== element) faults.push(`${element.id || element.className} takes no focus`);
      else if (style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) faults.push(`${element.id || element.className} shows no focus`);
    }
    return faults;
  });
  must(unseen.length === 0, unseen.slice(0, 5).join("; "));
  await context.close();
});

await browser.close();
console.log(`browser checks: ${count.passed} passed, ${count.failed} failed`);
process.exit(count.failed === 0 ? 0 : 1);
