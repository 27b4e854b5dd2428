// Opens report.html of a results directory in a browser and fails when what it promises is not so:
//   node check_report.mjs BROWSER RESULTS SCREENSHOTS
// Checked against: the directory's own summary.json for values shown, axe-core for accessibility, PNG's
// signature and the browser's own XML reader for what is saved.
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";

// import looks for packages above this file; they are where NODE_PATH says.
const require = createRequire(join(resolve(process.env.NODE_PATH), "packages.js"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const [browserPath, results, screenshots] = process.argv.slice(2);
const page = resolve(results, "report.html");
const address = "file://" + page;
const summary = JSON.parse(readFileSync(join(results, "summary.json"), "utf8"));

const failures = [];
let checks = 0;
const check = (isTrue, text) => {
  checks += 1;
  if (!isTrue) {
    failures.push(text);
  }
};

const figureOf = (name) => `figure[data-name="${name}"]`;

/// A page that notes everything it says and asks for.
const open = async (browser, options) => {
  const context = await browser.newContext({ acceptDownloads: true, ...options });
  const tab = await context.newPage();
  tab.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) {
      failures.push(`console ${message.type()}: ${message.text()}`);
    }
  });
  tab.on("pageerror", (error) => failures.push(`script: ${error.message}`));
  tab.on("request", (request) => {
    const url = request.url();
    if (url !== address && !url.startsWith("data:") && !url.startsWith("blob:")) {
      failures.push(`asked for ${url.slice(0, 200)}`);
    }
  });
  await tab.goto(address);
  return tab;
};

/// The words that a point of the chart is described by when the mouse is over it.
const hoverPoint = async (tab, name, dataset, index) => {
  await tab.locator(`${figureOf(name)} canvas`).scrollIntoViewIfNeeded();
  const at = await tab.evaluate(
    ([id, k, n]) => {
      const canvas = document.querySelector(`${id} canvas`);
      const box = canvas.getBoundingClientRect();
      const point = Chart.getChart(canvas).getDatasetMeta(k).data[n].getCenterPoint();
      return { x: box.x + point.x, y: box.y + point.y };
    },
    [figureOf(name), dataset, index],
  );
  await tab.mouse.move(at.x - 40, at.y - 40);
  await tab.mouse.move(at.x, at.y, { steps: 4 });
  await tab.waitForTimeout(120);
  return tab.locator(`${figureOf(name)} .readout`).textContent();
};

/// As post/text/table_text writes a value with its error.
const withError = (value, error) => {
  const decimals = error >= 0.095 ? 1 : 2;
  return `${value.toFixed(decimals)} ±${Math.max(error, 0.01).toFixed(decimals)}`;
};

const checkCharts = async (tab) => {
  // Every point of the first series: its text holds the rise, error and power of summary.json.
  const first = summary.conditions[0];
  const own = summary.conditions.filter(
    (row) => row.panel === first.panel && row.orientation === first.orientation,
  );
  for (const [k, row] of own.entries()) {
    const said = await hoverPoint(tab, "rise-against-power", 1, k);
    const wanted = `${withError(row.base_rise_mean_k, row.rise_error_k)} K at ${row.power_w} W`;
    check(said.includes(wanted), `hover says "${said}", summary.json "${wanted}"`);
  }
  const stack = await tab.locator(".chart-data").evaluateAll((all) =>
    all.map((one) => [one.parentElement.dataset.name, JSON.parse(one.textContent)]).filter(([, data]) => data.kind === "stacks"),
  );
  check(stack.length > 0, "no stacked chart");
  const [name, data] = stack.find(([id]) => id === `heat-budget-${first.power_w}w`) ?? stack[0];
  const heat = first.heat.find((row) => row.account === "groups" && row.group === "fin");
  const segment = data.segments.findIndex((one) => one.label === "fins to the air");
  await tab.locator(figureOf(name)).evaluate((figure) => figure.closest(".panel")?.previousElementSibling.click());
  await tab.waitForTimeout(150);
  const said = await hoverPoint(tab, name, segment, 0);
  const wanted = `${withError(heat.convection_w, heat.convection_error_w)} W`;
  check(said.includes(wanted), `hover says "${said}", summary.json "${wanted}"`);

  const chart = (text) => tab.evaluate(`(() => { const chart = Chart.getChart(document.querySelector(
    "figure[data-name=rise-against-power] canvas")); return ${text}; })()`);
  const legend = tab.locator("figure[data-name=rise-against-power] .legend button").first();
  await legend.click();
  check(!(await chart("chart.isDatasetVisible(1)")), "the legend hides nothing");
  check((await legend.getAttribute("aria-pressed")) === "false", "the legend's button does not say so");
  await legend.press("Enter");
  check(await chart("chart.isDatasetVisible(1)"), "the legend brings nothing back");
  check((await chart("chart.scales.x.type")) === "linear", "axes do not begin linear");
  await tab.getByRole("button", { name: "Logarithmic axes" }).click();
  check((await chart("chart.scales.x.type + chart.scales.y.type")) === "logarithmiclogarithmic", "axes stay linear");
  await tab.getByRole("button", { name: "Logarithmic axes" }).click();
  await tab.locator("figure[data-name=rise-against-power] canvas").focus();
  await tab.keyboard.press("ArrowRight");
  check(/ K at /.test(await tab.locator("figure[data-name=rise-against-power] .readout").textContent()), "arrow keys show no value");
};

/// Every figure that is seen gives an SVG and a PNG, each with its caption or as large as it is.
const checkSaving = async (tab) => {
  const names = await tab.locator("figure[data-name]").evaluateAll((all) =>
    all.filter((figure) => figure.checkVisibility({ contentVisibilityAuto: true }) && figure.getClientRects().length > 0)
      .map((figure) => figure.dataset.name),
  );
  check(names.length >= 4, `only ${names.length} figures are seen`);
  for (const name of names) {
    const caption = await tab.locator(`${figureOf(name)} figcaption`).textContent();
    for (const kind of ["SVG", "PNG"]) {
      const waiting = tab.waitForEvent("download", { timeout: 5000 });
      await tab.getByRole("button", { name: `Save ${name} as ${kind}`, exact: true }).click();
      const download = await waiting;
      check(download.suggestedFilename() === `${name}.${kind.toLowerCase()}`, `${name}: saved under another name`);
      const bytes = readFileSync(await download.path());
      if (kind === "PNG") {
        check(bytes.subarray(1, 4).toString() === "PNG" && bytes.length > 2000, `${name}: no PNG`);
        check(bytes.readUInt32BE(16) >= 300 && bytes.readUInt32BE(20) >= 150, `${name}: a PNG of no size`);
        continue;
      }
      const read = await tab.evaluate((text) => {
        const root = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
        const words = [...root.children].filter((child) => child.tagName === "text").map((child) => child.textContent);
        return { tag: root.tagName, words: words.join(" "), isPlain: !text.includes("var(") };
      }, bytes.toString());
      check(read.tag === "svg" && read.isPlain, `${name}: no SVG that stands alone`);
      check(read.words === caption, `${name}: saved with the caption "${read.words}"`);
    }
  }
};

const checkText = async (tab, where) => {
  const text = await tab.locator("body").innerText();
  for (const words of ["The answer", "Before you rely on it", "hot enough to burn", "mains", "local codes", summary.title]) {
    check(text.includes(words), `${where}: "${words}" is not said`);
  }
  check((await tab.title()) === `${summary.title} - tiltfin report`, `${where}: the title is "${await tab.title()}"`);
  check((await tab.locator("main b, h1 b").filter({ hasText: "coarse" }).count()) === 0, `${where}: the title's marks are obeyed`);
  const twice = await tab.evaluate(() => {
    const ids = [...document.querySelectorAll("[id]"), ...document.querySelectorAll("[data-name]")]
      .map((element) => element.id || "figure " + element.dataset.name);
    return ids.filter((id, k) => ids.indexOf(id) !== k);
  });
  check(twice.length === 0, `${where}: names stand twice: ${twice.join(", ")}`);
  const broken = await tab.locator("img").evaluateAll(async (all) => {
    const decoded = await Promise.all(all.map((image) => image.decode().then(() => image.naturalWidth > 0, () => false)));
    return all.filter((image, k) => !decoded[k] || !image.alt).length;
  });
  check((await tab.locator("img").count()) > 0 && broken === 0, `${where}: ${broken} pictures are broken or have no text`);
};

/// The first key leads to the link that skips the contents, and where one is can be seen.
const checkKeys = async (tab) => {
  await tab.keyboard.press("Tab");
  const at = await tab.evaluate(() => {
    const style = getComputedStyle(document.activeElement);
    return { text: document.activeElement.textContent, line: style.outlineStyle + parseFloat(style.outlineWidth) };
  });
  check(at.text === "Skip to the answer" && at.line === "solid3", `the first key leads to "${at.text}" (${at.line})`);
  await tab.keyboard.press("Enter");
  check(await tab.evaluate(() => document.activeElement.id === "main"), "the link skips nothing");
};

const checkWidth = async (tab, where) => {
  const [across, seen] = await tab.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
  check(across <= seen, `${where}: the page scrolls sideways, ${across} px in ${seen}`);
};

const checkAccess = async (tab, where) => {
  await tab.evaluate(() => document.querySelectorAll("details").forEach((details) => (details.open = true)));
  await tab.evaluate(axe);
  const { violations, passes } = await tab.evaluate(() => axe.run(document));
  check(passes.length > 10, `${where}: axe looked at nothing`);
  for (const found of violations) {
    const nodes = found.nodes.slice(0, 3).map((node) => `${node.target.join(" ")}: ${node.failureSummary}`);
    check(!["serious", "critical"].includes(found.impact), `${where}: ${found.id} (${found.impact}): ${nodes.join("; ")}`);
  }
};

const browser = await chromium.launch({
  executablePath: browserPath,
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"],
});
try {
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [1280, 390]) {
      const where = `${width} px, ${colorScheme}`;
      const tab = await open(browser, { viewport: { width, height: 900 }, colorScheme });
      await tab.waitForTimeout(200);
      await checkKeys(tab);
      await checkText(tab, where);
      await checkWidth(tab, where);
      await tab.screenshot({ path: join(screenshots, `report-${width}-${colorScheme}.png`), fullPage: true });
      if (colorScheme === "light" && width === 1280) {
        await checkCharts(tab);
        await checkSaving(tab);
        const field = tab.locator("#conditions input[type=search]");
        await field.fill("FLAT conv");
        const lying = summary.conditions.filter((row) => row.orientation.startsWith("flat") && row.status === "converged");
        const left = await tab.locator("#conditions tbody tr:visible").count();
        check(left === lying.length && left > 0, `the filter leaves ${left} rows, not ${lying.length}`);
        await tab.pdf({ path: join(screenshots, "report.pdf"), format: "A4" });
      }
      await checkAccess(tab, where);
      await checkWidth(tab, `${where}, all open`);
      await tab.context().close();
    }
  }

  const still = await open(browser, { viewport: { width: 390, height: 900 }, javaScriptEnabled: false });
  const text = await still.locator("body").innerText();
  for (const words of ["Which way to stand is best?", "How warm, at which power?", "How to get this again"]) {
    check(text.includes(words), `without scripts: "${words}" is not said`);
  }
  check((await still.locator("button").count()) === 0, "without scripts: buttons that do nothing");
  check((await still.locator("figure[data-name=rise-against-power] .plate img").isVisible()), "without scripts: no chart of the rise");
  check((await still.locator("figure[data-name=power-limits] .plate svg").isVisible()), "without scripts: no chart of the limits");
  check((await still.locator("#heat .plate svg").first().isVisible()) ||
        (await still.locator("#heat .plate svg").last().isVisible()), "without scripts: no heat budget");
  check(await still.locator("#pictures img:visible").count() > 0, "without scripts: no picture");
  await still.screenshot({ path: join(screenshots, "report-390-no-scripts.png"), fullPage: true });
  // Tabs need no script: the other power's pictures come when its button is chosen.
  const label = still.locator("#pictures .tabs > label").first();
  await label.click();
  check(await still.locator("#pictures .tabs > .panel").first().isVisible(), "without scripts: tabs do nothing");
} finally {
  await browser.close();
}
writeFileSync(join(screenshots, "failures.txt"), failures.join("\n"));
if (failures.length > 0) {
  console.log(`${failures.length} of ${checks} checks failed:\n  ${failures.join("\n  ")}`);
  process.exit(1);
}
console.log(`${checks} checks of ${page} passed`);
