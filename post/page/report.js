// What a report does where scripts run: interactive charts in place of the drawings, fields that
// filter tables, buttons that save charts and pictures. Without it all text and drawings are there.
"use strict";
(() => {
  const root = document.documentElement;
  root.classList.add("js");

  const element = (tag, attributes = {}, text = "") => {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      made.setAttribute(name, value);
    }
    made.textContent = text;
    return made;
  };
  const colour = (name) => getComputedStyle(root).getPropertyValue("--" + name).trim();
  const isNumber = (value) => typeof value === "number" && Number.isFinite(value);

  /// A value with its error, as the tables write it.
  const withError = (value, error) => {
    if (!isNumber(error) || error <= 0) {
      return value.toFixed(1);
    }
    const decimals = error >= 0.095 ? 1 : 2;
    return value.toFixed(decimals) + " ±" + Math.max(error, 0.01).toFixed(decimals);
  };

  // ---- charts ----

  /// Error bars of the points of a chart that are shown.
  const errorBars = {
    id: "errorBars",
    beforeDatasetDraw(chart, { index, meta }) {
      const { ctx, chartArea, scales } = chart;
      const within = (y) => Math.min(Math.max(y, chartArea.top), chartArea.bottom);
      ctx.save();
      ctx.strokeStyle = chart.data.datasets[index].borderColor;
      ctx.lineWidth = 1.4;
      chart.data.datasets[index].data.forEach((point, k) => {
        if (!isNumber(point.low) || point.high <= point.low || !meta.data[k]) {
          return;
        }
        const x = meta.data[k].x;
        const low = scales.y.getPixelForValue(point.low);
        const high = scales.y.getPixelForValue(point.high);
        ctx.beginPath();
        ctx.moveTo(x, within(low));
        ctx.lineTo(x, within(high));
        for (const end of [low, high]) {
          ctx.moveTo(x - 4, within(end));
          ctx.lineTo(x + 4, within(end));
        }
        ctx.stroke();
      });
      ctx.restore();
    },
  };

  /// Of a series; the two darkest of the drawings' colours are hard to see on a dark ground.
  const seriesColour = (series) => {
    const isDark = matchMedia("(prefers-color-scheme: dark)").matches;
    const own = { "#4d4d4d": colour("ink"), "#0070b0": isDark ? "#4ba3e3" : "#0070b0" };
    return own[series.colour] ?? series.colour;
  };

  const pointText = (data, point) => {
    const interval = point.high > point.low ? (point.high - point.low) / 2 : 0;
    const doubt = point.doubtful ? " (" + data.hollow + ")" : "";
    return `${withError(point.y, interval)} ${data.y_unit} at ${point.x} ${data.x_unit}${doubt}`;
  };

  const axis = (title, type) => ({
    type,
    title: { display: true, text: title, color: colour("ink") },
    grid: { color: colour("grid"), borderColor: colour("soft") },
    ticks: {
      color: colour("soft"),
      callback(value) {
        const first = String(value).replace(/[0.]/g, "")[0];
        return type !== "logarithmic" || "125".includes(first) ? String(value) : "";
      },
    },
  });

  const still = { animation: false, responsive: true, maintainAspectRatio: false };
  const plainTooltip = (label, title) => ({
    displayColors: true,
    filter: (item) => isNumber(item.raw) || !item.dataset.isCurve,
    callbacks: { label, title },
  });

  const pointsChart = (data, isLog) => {
    const datasets = [];
    for (const series of data.series) {
      const shade = seriesColour(series);
      datasets.push({
        label: series.label,
        isCurve: true,
        data: series.curve.map(([x, y]) => ({ x, y })),
        borderColor: shade,
        borderWidth: 1.6,
        borderDash: series.dashed ? (series.points.length > 0 ? [4, 4] : [12, 5]) : [],
        pointRadius: 0,
        pointHitRadius: 0,
        pointHoverRadius: 0,
      });
      datasets.push({
        label: series.label,
        data: series.points,
        showLine: false,
        borderColor: shade,
        pointBackgroundColor: series.points.map((p) => (p.doubtful ? colour("plate") : shade)),
        pointStyle: series.square ? "rect" : "circle",
        pointRadius: series.square ? 6 : 5,
        pointHoverRadius: 8,
        pointBorderWidth: 1.6,
      });
    }
    const type = isLog ? "logarithmic" : "linear";
    const scales = { x: axis(data.x_label, type), y: axis(data.y_label, type) };
    if (!isLog) {
      scales.x.beginAtZero = scales.y.beginAtZero = true;
    }
    return {
      type: "line",
      data: { datasets },
      plugins: [errorBars],
      options: {
        ...still,
        parsing: false,
        interaction: { mode: "nearest", intersect: true },
        scales,
        plugins: {
          legend: { display: false },
          tooltip: plainTooltip(
            (item) => pointText(data, item.raw),
            (items) => (items.length > 0 ? items[0].dataset.label : ""),
          ),
        },
      },
    };
  };

  const stacksChart = (data) => {
    const bars = data.bars;
    const sumOf = (bar, isWanted) => bar.values.filter(isWanted).reduce((sum, value) => sum + value, 0);
    const low = Math.min(0, ...bars.map((bar) => sumOf(bar, (value) => value < 0)));
    const high = Math.max(0, ...bars.map((bar) => sumOf(bar, (value) => value > 0)));
    const x = axis(data.unit, "linear");
    x.ticks.includeBounds = false;
    const text = (item) => {
      const bar = bars[item.dataIndex];
      const value = bar.values[item.datasetIndex];
      return `${item.dataset.label}: ${withError(value, bar.errors[item.datasetIndex])} ${data.unit}`;
    };
    return {
      type: "bar",
      data: {
        labels: bars.map((bar) => bar.label),
        datasets: data.segments.map((segment, k) => ({
          label: segment.label,
          data: bars.map((bar) => bar.values[k]),
          backgroundColor: segment.colour,
          borderColor: colour("plate"),
          borderWidth: 0.6,
          maxBarThickness: 24,
        })),
      },
      options: {
        ...still,
        indexAxis: "y",
        interaction: { mode: "nearest", intersect: true },
        scales: {
          x: { ...x, stacked: true, min: 1.03 * low, max: 1.03 * high || 1 },
          y: {
            stacked: true,
            grid: { display: false, borderColor: colour("soft") },
            ticks: { color: colour("ink"), autoSkip: false },
          },
        },
        plugins: {
          legend: { display: false },
          tooltip: plainTooltip(text, (items) => (items.length > 0 ? items[0].label : "")),
        },
      },
    };
  };

  /// The text of what is pointed at, for those who do not see the chart.
  const readOut = (chart) => {
    const tooltip = chart.tooltip;
    if (!tooltip || tooltip.opacity === 0 || !tooltip.body || tooltip.body.length === 0) {
      return "";
    }
    return [...tooltip.title, ...tooltip.body.flatMap((part) => part.lines)].join(": ");
  };

  /// A chart of its own in a figure: what it is made of, which series are hidden, how it is drawn.
  const liven = (figure, script) => {
    const data = JSON.parse(script.textContent);
    const box = figure.querySelector(".lively");
    const canvas = box.querySelector("canvas");
    const isStacks = data.kind === "stacks";
    const hidden = new Set();
    const state = { chart: null, isLog: false };
    const frame = element("div", { style: "position:relative" });
    canvas.before(frame);
    frame.append(canvas);
    const legend = element("div", { class: "legend", role: "group", "aria-label": "Shown in the chart" });
    const readout = element("p", { class: "readout soft", "aria-live": "polite" });
    box.prepend(legend);
    box.append(readout);
    canvas.tabIndex = 0;

    const nOf = isStacks ? 1 : 2; // datasets of an entry of the legend
    const draw = () => {
      if (state.chart) {
        state.chart.destroy();
      }
      frame.style.height = isStacks ? `${data.bars.length * 38 + 70}px` : "min(30rem, 110vw)";
      const config = isStacks ? stacksChart(data) : pointsChart(data, state.isLog);
      config.data.datasets.forEach((dataset, k) => {
        dataset.hidden = hidden.has(Math.floor(k / nOf));
      });
      config.options.onHover = (event, active, chart) => {
        requestAnimationFrame(() => {
          readout.textContent = readOut(chart);
        });
      };
      state.chart = new Chart(canvas, config);
      readout.textContent = "";
    };

    (isStacks ? data.segments : data.series).forEach((entry, k) => {
      const button = element("button", { type: "button", "aria-pressed": "true" });
      const shade = isStacks ? entry.colour : seriesColour(entry);
      button.append(element("span", { class: entry.points && !entry.square ? "swatch disc" : "swatch", style: `background:${shade}` }), entry.label);
      button.addEventListener("click", () => {
        const isShown = hidden.has(k);
        isShown ? hidden.delete(k) : hidden.add(k);
        button.setAttribute("aria-pressed", String(isShown));
        draw();
      });
      legend.append(button);
    });

    // Arrow keys walk through the points, as the mouse does.
    let place = -1;
    canvas.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (!step) {
        return;
      }
      event.preventDefault();
      const all = state.chart.getSortedVisibleDatasetMetas().flatMap((meta) =>
        state.chart.data.datasets[meta.index].isCurve
          ? []
          : meta.data.map((_, index) => ({ datasetIndex: meta.index, index })),
      );
      if (all.length === 0) {
        return;
      }
      place = (place + step + all.length) % all.length;
      const { x, y } = state.chart.getDatasetMeta(all[place].datasetIndex).data[all[place].index];
      state.chart.setActiveElements([all[place]]);
      state.chart.tooltip.setActiveElements([all[place]], { x, y });
      state.chart.update();
      readout.textContent = readOut(state.chart);
    });

    figure.classList.add("is-lively");
    draw();
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    return { canvas, state, draw, isStacks };
  };

  // ---- saving ----

  const save = (blob, name) => {
    const link = element("a", { href: URL.createObjectURL(blob), download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  };

  /// Words of a text in lines of at most so many letters.
  const lines = (text, most) => {
    const all = [""];
    for (const word of text.split(/\s+/)) {
      const last = all.length - 1;
      if (all[last] !== "" && all[last].length + word.length >= most) {
        all.push(word);
      } else {
        all[last] += (all[last] === "" ? "" : " ") + word;
      }
    }
    return all;
  };

  /// The drawing of a figure as a file of its own, its caption under it.
  const standAlone = (figure, caption) => {
    const image = figure.querySelector(".plate img");
    const text = image
      ? decodeURIComponent(image.getAttribute("src").slice("data:image/svg+xml,".length))
      : new XMLSerializer().serializeToString(figure.querySelector(".plate svg"));
    // Colours of the page become those written beside them.
    const plain = text.replace(/var\(--[a-z]+,\s*(#[0-9a-f]+)\)/g, "$1").replace(/<\?xml[^>]*\?>/, "");
    const [, width, height] = plain.match(/<svg[^>]*?\swidth="([\d.]+)"[^>]*?\sheight="([\d.]+)"/);
    const under = lines(caption, Math.max(30, Number(width) / 7));
    const total = Number(height) + 14 + 18 * under.length;
    const escape = (line) => line.replace(/[&<>]/g, (c) => `&#${c.charCodeAt(0)};`);
    const words = under.map(
      (line, k) => `<text x="14" y="${Number(height) + 16 + 18 * k}" font-size="13" fill="#26262e">${escape(line)}</text>`,
    );
    const svg =
      `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${total}" ` +
      `viewBox="0 0 ${width} ${total}" font-family="Helvetica, Arial, 'DejaVu Sans', sans-serif">\n` +
      `<rect width="${width}" height="${total}" fill="#ffffff"/>\n${plain}\n${words.join("\n")}\n</svg>\n`;
    return { svg, width: Number(width), height: total };
  };

  const savePng = (canvas, name) => canvas.toBlob((blob) => save(blob, name), "image/png");

  const drawnCanvas = (width, height, scale, background) => {
    const canvas = element("canvas", { width: Math.round(width * scale), height: Math.round(height * scale) });
    const context = canvas.getContext("2d");
    context.scale(scale, scale);
    context.fillStyle = background;
    context.fillRect(0, 0, width, height);
    return { canvas, context };
  };

  const saveDrawingPng = (figure, caption, name) => {
    const { svg, width, height } = standAlone(figure, caption);
    const image = new Image();
    image.onload = () => {
      const { canvas, context } = drawnCanvas(width, height, 2, "#ffffff");
      context.drawImage(image, 0, 0, width, height);
      savePng(canvas, name);
    };
    image.src = "data:image/svg+xml," + encodeURIComponent(svg);
  };

  /// What the interactive chart shows now, with its caption and the series that are shown.
  const saveChartPng = (lively, caption, name) => {
    const shown = lively.canvas;
    const scale = shown.width / shown.clientWidth;
    const width = shown.clientWidth;
    const under = lines(caption, Math.max(30, width / 7));
    const datasets = lively.state.chart.data.datasets.filter((dataset) => !dataset.isCurve && !dataset.hidden);
    const legendHeight = 20 * Math.ceil(datasets.length / 2);
    const height = shown.clientHeight + legendHeight + 18 * under.length + 30;
    const { canvas, context } = drawnCanvas(width, height, scale, colour("plate"));
    context.drawImage(shown, 0, 0, width, shown.clientHeight);
    context.font = "13px Helvetica, Arial, 'DejaVu Sans', sans-serif";
    datasets.forEach((dataset, k) => {
      const x = 14 + (k % 2) * (width / 2);
      const y = shown.clientHeight + 18 + 20 * Math.floor(k / 2);
      context.fillStyle = lively.isStacks ? dataset.backgroundColor : dataset.borderColor;
      context.fillRect(x, y - 10, 11, 11);
      context.fillStyle = colour("ink");
      context.fillText(dataset.label, x + 18, y);
    });
    under.forEach((line, k) => context.fillText(line, 14, shown.clientHeight + legendHeight + 24 + 18 * k));
    savePng(canvas, name);
  };

  const button = (text, label, click) => {
    const made = element("button", { type: "button", "aria-label": label }, text);
    made.addEventListener("click", click);
    return made;
  };

  for (const figure of document.querySelectorAll("figure[data-name]")) {
    const script = figure.querySelector(":scope > .chart-data");
    const lively = script ? liven(figure, script) : null;
    const name = figure.dataset.name;
    const caption = figure.querySelector("figcaption").textContent;
    const tools = element("div", { class: "tools" });
    if (lively && !lively.isStacks) {
      const log = element("button", { type: "button", "aria-pressed": "false" }, "Logarithmic axes");
      log.addEventListener("click", () => {
        lively.state.isLog = !lively.state.isLog;
        log.setAttribute("aria-pressed", String(lively.state.isLog));
        lively.draw();
      });
      tools.append(log);
    }
    tools.append(element("span", { class: "gap" }));
    tools.append(
      button("Save SVG", `Save ${name} as SVG`, () =>
        save(new Blob([standAlone(figure, caption).svg], { type: "image/svg+xml" }), name + ".svg"),
      ),
      button("Save PNG", `Save ${name} as PNG`, () =>
        lively ? saveChartPng(lively, caption, name + ".png") : saveDrawingPng(figure, caption, name + ".png"),
      ),
    );
    figure.querySelector("figcaption").after(tools);
  }

  // ---- tables ----

  for (const sheet of document.querySelectorAll(".sheet[data-filter]")) {
    const rows = [...sheet.querySelectorAll("tbody tr")];
    const label = element("label", {}, "Rows that hold ");
    const field = element("input", { type: "search" });
    const count = element("span", { class: "soft", "aria-live": "polite" }, ` ${rows.length} rows`);
    field.addEventListener("input", () => {
      const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
      let shown = 0;
      for (const row of rows) {
        const text = row.textContent.toLowerCase();
        row.hidden = !words.every((word) => text.includes(word));
        shown += row.hidden ? 0 : 1;
      }
      count.textContent = ` ${shown} of ${rows.length} rows`;
    });
    label.append(field);
    const tools = element("div", { class: "tools" });
    tools.append(label, count);
    sheet.before(tools);
  }

  // ---- paper ----

  let closed = [];
  addEventListener("beforeprint", () => {
    closed = [...document.querySelectorAll("details:not([open])")];
    closed.forEach((details) => details.setAttribute("open", ""));
  });
  addEventListener("afterprint", () => {
    closed.forEach((details) => details.removeAttribute("open"));
  });
})();
