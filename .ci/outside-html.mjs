#!/usr/bin/env node
// The page in a real browser, and the glTF file in Khronos's validator. Not a part of `cargo test`.
//
//   cargo build --release && node .ci/outside-html.mjs target/release/eavewright [folder for pictures]
//
// Needs Chromium (`apt-get install chromium`, or CHROMIUM=path) and, from npm: playwright-core, axe-core,
// gltf-validator, found from the working folder or from NODE_MODULES=folder. Says so and passes where they are missing.
import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";

const program = resolve(process.argv[2] ?? "target/release/eavewright");
const pictures = process.argv[3];
const require = createRequire(join(process.env.NODE_MODULES ?? process.cwd(), "here.js"));
const chromium = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/google-chrome"].find((p) => p && existsSync(p));
let playwright, axe, validator;
try {
  playwright = require("playwright-core");
  axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
  validator = require("gltf-validator");
} catch (e) {
  console.log(`outside check of the page skipped: ${e.message.split("\n")[0]}`);
  process.exit(0);
}
if (!chromium) {
  console.log("outside check of the page skipped: no Chromium here");
  process.exit(0);
}

const folder = mkdtempSync(join(tmpdir(), "page-"));
if (pictures) mkdirSync(pictures, { recursive: true });
const faults = [];
const expect = (what, holds) => { if (!holds) faults.push(what); };

// A name that would run, were it not escaped.
const hostile = join(folder, "hostile.toml");
writeFileSync(hostile, `[project]\nname = "</script><script>alert(1)</script><img src=x onerror=alert(1)>"\n`);

const plans = [
  ["examples/quillback-road.svg", []],
  ["fixtures/roofs/gable-wing-16x10-6in12/plan.svg", ["--units", "m"]],
  ["fixtures/roofs/octagon-turret-10ft-12in12/plan.svg", ["--job", hostile]],
];
const browser = await playwright.chromium.launch({ executablePath: chromium, args: ["--no-sandbox"] });
for (const [plan, more] of plans) {
  const name = basename(plan, ".svg") === "plan" ? plan.split("/").at(-2) : basename(plan, ".svg");
  const html = join(folder, `${name}.html`), glb = join(folder, `${name}.glb`);
  execFileSync(program, ["takeoff", plan, "--no-pdf", "--quiet", "--html", html, "--glb", glb, ...more], { stdio: ["ignore", "ignore", "ignore"] });
  await judgeModel(name, readFileSync(glb));
  for (const look of [{ kind: "desktop" }, { kind: "phone" }, { kind: "dark" }]) await judgePage(name, html, look.kind);
  console.log(`${name}: ${readFileSync(html).length} bytes of page, ${readFileSync(glb).length} of model`);
}
await browser.close();
if (faults.length) {
  console.error(faults.join("\n"));
  process.exit(1);
}

async function judgeModel(name, bytes) {
  const { issues } = await validator.validateBytes(new Uint8Array(bytes));
  expect(`${name}.glb: ${JSON.stringify(issues.messages)}`, issues.numErrors + issues.numWarnings + issues.numInfos === 0);
}

async function judgePage(name, html, kind) {
  const where = `${name}, ${kind}`;
  const context = await browser.newContext({
    viewport: kind === "phone" ? { width: 390, height: 844 } : { width: 1360, height: 900 },
    isMobile: kind === "phone", hasTouch: kind === "phone",
    colorScheme: kind === "dark" ? "dark" : "light", reducedMotion: "reduce", bypassCSP: false,
  });
  const page = await context.newPage();
  page.on("console", (m) => expect(`${where}: console ${m.type()}: ${m.text()}`, m.type() !== "error" && m.type() !== "warning"));
  page.on("pageerror", (e) => faults.push(`${where}: ${e.message}`));
  page.on("dialog", (d) => { faults.push(`${where}: a script from a name ran`); d.dismiss(); });
  page.on("request", (r) => expect(`${where}: asked for ${r.url()}`, r.url().startsWith("file://") && r.url().endsWith(".html")));
  await page.goto(`file://${html}`);
  await page.waitForSelector("#model .tag");
  await page.waitForTimeout(200);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(`${where}: the page is ${wide} px wider than the screen`, wide <= 0);
  if (kind === "phone") await byTouch(page, where);
  else await byKeysAndMouse(page, where);
  await judgeAccess(page, where);
  if (pictures) {
    await page.screenshot({ path: join(pictures, `${name}-${kind}.png`), fullPage: true });
    if (kind === "desktop") await page.pdf({ path: join(pictures, `${name}.pdf`), format: "Letter" });
  }
  await context.close();
}

function picked(page) {
  return page.evaluate(() => [...document.querySelectorAll(".is-picked")].map((e) => `${e.tagName.toLowerCase()} ${e.dataset.face ?? e.dataset.edge}`));
}

function outlines(page) {
  return page.evaluate(() => [...document.querySelectorAll("#model .lines path")].map((p) => p.getAttribute("d")).join());
}

async function byKeysAndMouse(page, where) {
  const readout = () => page.textContent("#readout");
  // The middle of the first face's name, by pointer: row, plan, model and readout agree.
  const tag = page.locator("#model .tag:not(.unseen)").first();
  const index = await tag.getAttribute("data-face");
  await tag.scrollIntoViewIfNeeded();
  const box = await tag.boundingBox();
  await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  await page.waitForTimeout(80);
  const all = await picked(page);
  for (const part of ["tr", "path", "g", "button"]) expect(`${where}: picking face ${index} in the model does not mark its ${part}: ${all}`, all.includes(`${part} ${index}`));
  expect(`${where}: the readout is silent`, (await readout()).includes("true area"));

  await page.keyboard.press("Escape");
  expect(`${where}: Escape does not let go`, (await picked(page)).length === 0);
  for (const key of ["ArrowLeft", "ArrowUp", "+", "-", "Shift+ArrowRight", "Home"]) {
    const before = await outlines(page);
    await page.keyboard.press(key);
    await page.waitForTimeout(60);
    expect(`${where}: ${key} changes nothing`, (await outlines(page)) !== before);
  }
  await page.focus("#model");
  await page.keyboard.press("Tab");
  await page.waitForTimeout(60);
  expect(`${where}: Tab does not reach a face`, await page.evaluate(() => document.activeElement.classList.contains("tag")));
  await page.keyboard.press("Enter");
  expect(`${where}: Enter does not pick`, (await picked(page)).length >= 3);

  // The other way round: from the schedule to the model and the plan.
  const button = page.locator("#edges tbody button").first();
  await page.locator("details").evaluate((d) => (d.open = true));
  await button.click();
  await page.waitForTimeout(60);
  expect(`${where}: the picked edge is not drawn`, await page.evaluate(() => document.querySelector(".picked-edge").getAttribute("d").length > 0));
  expect(`${where}: the readout does not name the edge`, (await readout()).includes("true length"));
  const shown = page.locator("[data-show=showCourses]");
  await shown.check();
  await page.waitForTimeout(80);
  expect(`${where}: no course lines`, await page.evaluate(() => document.querySelector(".course").getAttribute("d").length > 100));
}

async function byTouch(page, where) {
  const tag = page.locator("#model .tag:not(.unseen)").first();
  await tag.scrollIntoViewIfNeeded();
  const box = await tag.boundingBox();
  await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
  await page.waitForTimeout(120);
  expect(`${where}: a tap picks nothing`, (await picked(page)).length >= 3);
  const before = await outlines(page);
  await page.tap("[data-act=right]");
  await page.waitForTimeout(80);
  expect(`${where}: the button does not turn the model`, (await outlines(page)) !== before);
  const small = await page.evaluate(() => [...document.querySelectorAll(".tools button, .tools label")].filter((b) => Math.min(b.offsetWidth, b.offsetHeight) < 44).length);
  expect(`${where}: ${small} controls are smaller than a finger`, small === 0);
}

async function judgeAccess(page, where) {
  // Evaluated through the debugger, which the page's content policy does not stop.
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() => globalThis.axe.run(document));
  for (const v of violations) faults.push(`${where}: ${v.id}: ${v.help} (${v.nodes.length}): ${v.nodes[0].html.slice(0, 160)}`);
}
