// What the checks in a browser share: one line a check, the browser, and the tools for markup and access.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join } from "node:path";

const require = createRequire(join(process.env.BROWSER_TOOLS, "package.json"));
const { chromium } = require("playwright-core");
export const { HtmlValidate } = require("html-validate");
const axeSource = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

export const count = { passed: 0, failed: 0 };

/** Runs a check and prints a line with what it measured, or why it failed. With `ONLY` in the environment, those alone whose name holds it. */
export const check = async (name, body) => {
  if (!name.includes(process.env.ONLY ?? "")) return;
  try {
    const told = await body();
    count.passed += 1;
    console.log(`ok      ${name}${told ? `: ${told}` : ""}`);
  } catch (error) {
    count.failed += 1;
    console.log(`FAILED  ${name}: ${String(error.message ?? error).split("\n").slice(0, 12).join("\n        ")}`);
  }
};
export const must = (truth, words) => { if (!truth) throw new Error(words); };

/** A browser without a window that asks the network for nothing of its own. */
export const launched = (...more) => chromium.launch({
  executablePath: process.env.CHROMIUM,
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", ...more],
});

/** The accessibility rules; how many hold. */
export const accessible = async (page) => {
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () => {
    const result = await window.axe.run(document, { resultTypes: ["violations"] });
    return { passes: result.passes.length, faults: result.violations.map((v) => `${v.id} (${v.nodes.length}): ${v.nodes[0].target} ${v.nodes[0].failureSummary}`) };
  });
  must(found.faults.length === 0, found.faults.join("\n"));
  must(found.passes > 15, `only ${found.passes} rules applied`);
  return `${found.passes} rules hold`;
};
