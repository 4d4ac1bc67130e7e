// The page of a class in a real browser: it loads without an error and asks for nothing, sort,
// filter and keyboard work, strangers' text stays text, the audit finds nothing serious, and 200
// scripts open quickly. Usage: page.mjs CLASS, a folder of drafts; the program's path in MAJORANT,
// the folder with node_modules in MODULES, the browser's path in CHROMIUM, and where pictures go
// in PICTURES (none if unset).

import { createRequire } from "node:module";
import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import assert from "node:assert/strict";

const modules = createRequire(join(process.env.MODULES, "package.json"));
const { chromium } = modules("playwright-core");
const axe = readFileSync(modules.resolve("axe-core/axe.min.js"), "utf8");

const SCRIPTS = 200;
const SECONDS = 2;

const scratch = mkdtempSync(join(tmpdir(), "majorant-page-"));
process.on("exit", () => rmSync(scratch, { recursive: true, force: true }));

/** The page of a folder of drafts. */
const page = (folder, name) => {
  const file = join(scratch, name);
  try {
    const cache = join(scratch, "cache");
    execFileSync(process.env.MAJORANT, ["review", folder, "--format", "html", "--output", file], {
      env: { ...process.env, XDG_CACHE_HOME: cache },
    });
  } catch (error) {
    // Status 1 tells of mistakes in the drafts.
    assert.equal(error.status, 1, String(error.stderr));
  }
  return file;
};

/** A class of that many scripts, from those of another. */
const many = (folder) => {
  const big = join(scratch, "many");
  for (let number = 0; number * 24 < SCRIPTS; number += 1) {
    cpSync(folder, join(big, `group-${number}`), { recursive: true });
  }
  return big;
};

/** A class whose scripts try to act. */
const hostile = () => {
  const folder = join(scratch, "hostile");
  mkdirSync(folder);
  const attack = "<script>window.caught = 1</script><img src=x onerror='window.caught = 2'>";
  const text = `**Exercise 1 ${attack}.** Show that $1 \\le 2$.\n\n${attack}\u202E\n
$\\text{</math>${attack}}$ and $2 \\le 1 \\text{</mtext>${attack}}$\n
<style>body { display: none }</style><!-- --><iframe srcdoc="${attack}"></iframe>\n`;
  writeFileSync(join(folder, "<img src=x onerror=window.caught=3>\u202E'\".md"), text);
  writeFileSync(join(folder, "plain.tex"), `\\section*{Exercise 2} ${attack} $2 \\le 1$`);
  return folder;
};

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM,
  args: [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
  ],
});

/** Opens a page and watches it. */
const open = async (file, options = {}) => {
  const tab = await browser.newPage({ viewport: { width: 1100, height: 1400 }, ...options });
  const faults = [];
  const address = pathToFileURL(file).href;
  tab.on("pageerror", (error) => faults.push(error.message));
  tab.on("console", (message) => faults.push(`${message.type()}: ${message.text()}`));
  tab.on("dialog", (dialog) => faults.push(`dialog: ${dialog.message()}`));
  tab.on("request", (request) => {
    if (request.url() !== address) faults.push(`request: ${request.url()}`);
  });
  await tab.goto(address, { waitUntil: "load" });
  return { tab, faults };
};

const column = (tab, number) =>
  tab.$$eval(
    "#arguments tbody tr:not([hidden])",
    (rows, at) => rows.map((row) => row.cells[at].textContent.trim()),
    number,
  );

const audited = async (tab, name) => {
  await tab.evaluate(axe);
  const { violations } = await tab.evaluate(() => window.axe.run());
  const serious = violations.filter(({ impact }) => ["serious", "critical"].includes(impact));
  const told = serious.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html)[0]}`);
  assert.deepEqual(told, [], name);
  return violations.length;
};

const picture = async (tab, name) => {
  if (process.env.PICTURES) await tab.screenshot({ path: join(process.env.PICTURES, `${name}.png`) });
};

let passed = 0;
const check = async (name, body) => {
  await body();
  passed += 1;
  console.log(`ok: ${name}`);
};

const folder = process.argv[2];
const usual = page(folder, "class.html");

for (const colorScheme of ["light", "dark"]) {
  await check(`${colorScheme}: loads without an error, asks for nothing, audit`, async () => {
    const { tab, faults } = await open(usual, { colorScheme });
    await picture(tab, `${colorScheme}-overview`);
    await audited(tab, colorScheme);
    await tab.$eval("#mistakes", (part) => part.scrollIntoView());
    await picture(tab, `${colorScheme}-mistakes`);
    await tab.$eval(".finding.error", (part) => part.scrollIntoView({ block: "center" }));
    await tab.waitForTimeout(200);
    await picture(tab, `${colorScheme}-script`);
    assert.deepEqual(faults, []);
    await tab.close();
  });
}

await check("sorts by click and by keyboard", async () => {
  const { tab, faults } = await open(usual);
  const head = tab.getByRole("button", { name: "False", exact: true });
  await head.focus();
  await tab.keyboard.press("Enter");
  const ascending = (await column(tab, 3)).filter((cell) => cell !== "").map(Number);
  assert.deepEqual(ascending, [...ascending].sort((a, b) => a - b));
  await head.click();
  const descending = (await column(tab, 3)).filter((cell) => cell !== "").map(Number);
  assert.deepEqual(descending, [...descending].sort((a, b) => b - a));
  assert.ok(descending[0] > 0);
  const sorted = await tab.$$eval("#arguments thead th", (all) => all.map((one) => one.ariaSort));
  assert.deepEqual(sorted.filter((one) => one !== "none"), ["descending"]);
  assert.deepEqual(faults, []);
  await tab.close();
});

await check("filters rows and scripts", async () => {
  const { tab, faults } = await open(usual);
  const all = (await column(tab, 0)).length;
  await tab.selectOption("#state", "mistake");
  const mistaken = await column(tab, 7);
  assert.ok(mistaken.length > 0 && mistaken.length < all && !mistaken.includes(""));
  const [name] = await column(tab, 0);
  await tab.fill("#words", name);
  const left = await column(tab, 0);
  assert.ok(left.every((script) => script === name), String(left));
  assert.equal(await tab.locator("section.script:visible").count(), 1);
  assert.match(await tab.locator("#count").textContent(), /^\d+ of \d+ rows$/);
  await tab.fill("#words", "nothing has this");
  assert.deepEqual(await column(tab, 0), []);
  assert.deepEqual(faults, []);
  await tab.close();
});

await check("marks open by keyboard and close with Escape", async () => {
  const { tab, faults } = await open(usual);
  const mark = tab.locator("button.mark").first();
  await mark.focus();
  await tab.keyboard.press("Enter");
  const note = tab.locator(".note:popover-open");
  assert.equal(await note.count(), 1);
  assert.match(await note.textContent(), /line \d+/);
  await tab.keyboard.press("Escape");
  assert.equal(await note.count(), 0);
  await tab.getByRole("button", { name: "Show formulas as typed" }).click();
  assert.equal(await tab.locator(".math:visible").count(), 0);
  assert.ok((await tab.locator(".tex-copy:visible").count()) > 0);
  await tab.getByRole("button", { name: "Show formulas as typed" }).click();
  assert.equal(await tab.locator(".tex-copy:visible").count(), 0);
  assert.deepEqual(faults, []);
  await tab.close();
});

await check("pictures open by keyboard, are seen and have words", async () => {
  for (const colorScheme of ["light", "dark"]) {
    const { tab, faults } = await open(usual, { colorScheme });
    const details = tab.locator("details.picture").nth(1);
    await details.locator("summary").focus();
    await tab.keyboard.press("Enter");
    const drawings = details.locator("svg");
    assert.ok((await drawings.count()) > 0);
    for (const drawing of await drawings.all()) {
      // What is used from the store fills its frame.
      const [inside, frame] = await drawing.evaluate((one) => {
        const { width, height } = one.querySelector("use").getBBox();
        return [{ width, height }, { width: one.viewBox.baseVal.width, height: one.viewBox.baseVal.height }];
      });
      assert.ok(inside.width > frame.width / 2 && inside.width <= frame.width, String(inside.width));
      assert.ok(inside.height > frame.height / 2 && inside.height <= frame.height);
      const words = (name) =>
        drawing.evaluate((one, of) => document.getElementById(one.getAttribute(of))?.textContent, name);
      assert.match(await words("aria-labelledby"), /error term/);
      assert.ok((await words("aria-describedby")).length > 20);
    }
    // The strongest curve stands out from its paper.
    const curve = await tab.evaluate(() =>
      getComputedStyle(document.documentElement).getPropertyValue("--curve-3"));
    assert.equal(curve.trim(), colorScheme === "light" ? "#12161c" : "#f2f4f7");
    await details.scrollIntoViewIfNeeded();
    await picture(tab, `${colorScheme}-picture`);
    await audited(tab, `${colorScheme} with a picture`);
    assert.deepEqual(faults, []);
    await tab.close();
  }
});

await check("prints every script on a page of its own", async () => {
  const { tab } = await open(usual);
  const scripts = await tab.locator("section.script").count();
  await tab.emulateMedia({ media: "print" });
  await picture(tab, "print");
  const wide = await tab.evaluate(() => document.documentElement.scrollWidth > innerWidth);
  assert.equal(wide, false);
  const path = process.env.PICTURES ? join(process.env.PICTURES, "print.pdf") : undefined;
  const pdf = (await tab.pdf({ format: "A4", path })).toString("latin1");
  const pages = pdf.match(/\/Type\s*\/Page[^s]/g).length;
  assert.ok(pages > scripts, `${pages} pages for ${scripts} scripts`);
  await tab.close();
});

await check("strangers' text is text", async () => {
  const { tab, faults } = await open(page(hostile(), "hostile.html"));
  await tab.waitForTimeout(300);
  assert.equal(await tab.evaluate(() => window.caught), undefined);
  assert.equal(await tab.locator("img, iframe, body script ~ script").count(), 0);
  assert.match(await tab.locator("body").innerText(), /onerror=window\.caught=3/);
  assert.ok(!(await tab.content()).includes("\u202E"));
  assert.deepEqual(faults, []);
  await audited(tab, "hostile");
  await tab.close();
});

await check(`${SCRIPTS} scripts open in less than ${SECONDS} s`, async () => {
  const file = page(many(folder), "many.html");
  const begun = performance.now();
  const { tab, faults } = await open(file);
  await tab.evaluate(() => new Promise((done) => requestAnimationFrame(() => setTimeout(done))));
  const seconds = (performance.now() - begun) / 1000;
  const scripts = await tab.locator("section.script").count();
  assert.ok(scripts >= SCRIPTS, `${scripts} scripts`);
  console.log(`${scripts} scripts, ${readFileSync(file).length >> 20} MiB, ${seconds.toFixed(2)} s`);
  assert.ok(seconds < SECONDS, `${seconds} s`);
  assert.deepEqual(faults, []);
  await tab.close();
});

await browser.close();
console.log(`${passed} passed, 0 failed`);
