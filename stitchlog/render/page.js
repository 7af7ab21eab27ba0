// Keeps a page's charts alive: draws each in place of its picture, follows one piece through all of them, and draws
// them anew where the reader's system turns dark or light. Where anything fails, the picture stays.
(() => {
  "use strict";
  const read = (id) => JSON.parse(document.getElementById(id).textContent);
  const specs = read("specs"), toDark = read("dark"), locales = read("locales");
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const chooser = document.getElementById("follow");
  const views = new Map();
  const ERRORS_ONLY = 1;
  let followed = null;

  const inScheme = (spec) => {
    let text = JSON.stringify(spec);
    if (dark.matches) text = text.replace(/#[0-9a-f]{6}\b/g, (colour) => toDark[colour] ?? colour);
    return JSON.parse(text);
  };

  const NARROW = 480, LONG_NAME = 12, LINE = 15;
  const layersOf = (spec) => [spec, ...(spec.layer ?? []).flatMap(layersOf)];

  // In a narrow window long names stand above their bars or dots, so that these keep the width.
  function namesAbove(spec) {
    const parts = layersOf(spec);
    const rows = parts.filter((p) => ["nominal", "ordinal"].includes(p.encoding?.y?.type) && p.encoding.y.axis !== null);
    const marks = parts.filter((p) => p.mark).map((p) => (typeof p.mark === "string" ? { type: p.mark } : p.mark));
    const filling = marks.some((m) => m.type === "rect" || (m.type === "bar" && typeof (m.height ?? m.size) !== "number"));
    if (rows.length === 0 || filling || parts.some((p) => p.encoding?.x?.type === "nominal")) return;
    const field = rows[0].encoding.y.field;
    const names = Object.values(spec.datasets ?? {}).flat().map((row) => row?.[field]).filter((n) => typeof n === "string");
    if (Math.max(...names.map((n) => Math.max(...n.split("\n").map((l) => l.length)))) <= LONG_NAME) return;
    const lines = Math.max(...names.map((n) => n.split("\n").length));
    const above = { labelAlign: "left", labelPadding: -2, labelBaseline: "bottom", labelOffset: -10 - LINE * (lines - 1), labelLimit: 0, ticks: false };
    for (const part of rows) part.encoding.y.axis = { ...part.encoding.y.axis, ...above, domain: false };
    if (spec.height?.step) spec.height.step = Math.max(spec.height.step, 30 + LINE * lines);
    else if (typeof spec.height === "number") spec.height = Math.max(spec.height, new Set(names).size * (30 + LINE * lines));
  }

  // What a narrow window needs: legends below, shorter names beside the axis.
  const fitted = (spec, room) => {
    spec.background = "transparent";
    const config = (spec.config ??= {});
    if (room < NARROW) {
      if (spec.width === "container") namesAbove(spec);
      for (const { mark } of layersOf(spec)) if (mark?.limit) mark.limit = Math.min(mark.limit, room / 2);
      config.legend = { ...config.legend, orient: "bottom", columns: 1, labelLimit: 200 };
      config.axis = { ...config.axis, labelLimit: 105, labelFontSize: 12, titleFontSize: 12 };
    }
    return spec;
  };

  // What stands beside a plot moves when the plot makes room for it, so the room is measured again until it fits.
  async function settle(view) {
    const least = view.container().clientWidth * 0.4;
    for (let i = 0, before = NaN; i < 8 && view.width() !== before && view.width() > least; i++) {
      before = view.width();
      await view.resize().runAsync();
    }
  }

  async function draw(figure) {
    const place = figure.querySelector(".live");
    const old = views.get(figure);
    figure.classList.add("drawn");
    try {
      const spec = fitted(inScheme(specs[figure.dataset.chart]), place.clientWidth);
      const options = { actions: false, renderer: "svg", mode: "vega-lite", logLevel: ERRORS_ONLY, tooltip: { theme: "page" } };
      if (locales) [options.formatLocale, options.timeFormatLocale] = locales;
      const drawn = await vegaEmbed(place, spec, options);
      if (spec.width === "container") await settle(drawn.view);
      old?.finalize();
      views.set(figure, drawn);
      follow(drawn.view);
    } catch (error) {
      figure.classList.remove("drawn");
      views.delete(figure);
      console.error(error);
    }
  }

  // A chart that lets a piece be followed keeps what is chosen in this data set.
  const STORE = "follow_store";
  const hasStore = (view) => {
    try { return Array.isArray(view.data(STORE)); } catch { return false; }
  };
  const chosenIn = (view) => view.data(STORE)[0]?.values[0] ?? null;

  function follow(view) {
    if (!hasStore(view)) return;
    view.addDataListener(STORE, () => choose(chosenIn(view)));
    show(view);
  }

  function show(view) {
    if (!hasStore(view) || chosenIn(view) === followed) return;
    const choice = followed === null ? [] : [{ unit: "", fields: [{ type: "E", field: "piece" }], values: [followed] }];
    view.data(STORE, choice).runAsync();
  }

  function choose(piece) {
    if (piece === followed) return;
    followed = piece;
    if (chooser) chooser.value = piece ?? "";
    for (const { view } of views.values()) show(view);
  }

  function offer() {
    const pieces = new Set();
    for (const spec of specs)
      for (const rows of Object.values(spec.datasets ?? {}))
        if (Array.isArray(rows)) for (const row of rows) if (row?.piece && typeof row.piece === "string") pieces.add(row.piece);
    for (const piece of [...pieces].sort((a, b) => a.localeCompare(b))) chooser.add(new Option(piece, piece));
    chooser.addEventListener("change", () => choose(chooser.value || null));
    document.addEventListener("keydown", (event) => { if (event.key === "Escape") choose(null); });
  }

  const figures = [...document.querySelectorAll("figure[data-chart]")];
  const drawAll = async () => { for (const figure of figures) await draw(figure); };
  document.documentElement.classList.add("scripted");
  if (chooser) offer();
  dark.addEventListener("change", drawAll);
  let resized;
  addEventListener("resize", () => {
    clearTimeout(resized);
    resized = setTimeout(() => { for (const { spec, view } of views.values()) if (spec.width === "container") settle(view); }, 100);
  });
  drawAll().then(() => { document.documentElement.dataset.charts = [...views.keys()].length; });
})();
