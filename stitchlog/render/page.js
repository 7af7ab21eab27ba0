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
      readable(figure, place, drawn.view);
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
    // A row for several pieces together cannot be followed.
    const offered = (piece) => piece === null || [...(chooser?.options ?? [])].some((option) => option.value === piece);
    view.addDataListener(STORE, () => (offered(chosenIn(view)) ? choose(chosenIn(view)) : show(view)));
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
    chooser.addEventListener("change", () => choose(chooser.value || null));
    document.addEventListener("keydown", (event) => { if (event.key === "Escape") choose(null); });
  }

  // The marks that say something when pointed at, with where they are, in the order in which they are drawn.
  function saying(mark, x = 0, y = 0) {
    return mark.items.flatMap((item) => {
      if (mark.marktype === "group") return item.items.flatMap((inner) => saying(inner, x + (item.x ?? 0), y + (item.y ?? 0)));
      return item.tooltip == null ? [] : [{ item, x, y }];
    });
  }

  const said = (value) =>
    typeof value === "object" ? Object.entries(value).map(([name, held]) => `${name}: ${held}`).join("; ") : String(value);

  // The arrow keys go from mark to mark of the chart that has the focus; what each says is read out below it.
  function readable(figure, place, view) {
    const marks = () => {
      const all = saying(view.scenegraph().root);
      return all.filter(({ item }, i) => i === 0 || said(item.tooltip) !== said(all[i - 1].item.tooltip));
    };
    if (marks().length === 0) return;
    let at = -1;
    const ring = document.createElement("span"), voice = document.createElement("p");
    ring.className = "ring";
    voice.className = "voice quiet";
    voice.setAttribute("aria-live", "polite");
    figure.querySelector(".voice")?.remove();
    place.append(ring);
    figure.append(voice);
    place.tabIndex = 0;
    place.setAttribute("role", "application");
    place.setAttribute("aria-roledescription", "chart, arrow keys read its values");
    const clear = () => {
      at = -1;
      ring.style.display = "none";
      voice.textContent = "";
    };
    const go = (all, next) => {
      at = (next + all.length) % all.length;
      const { item, x, y } = all[at], drawn = place.querySelector("svg"), box = drawn.getBoundingClientRect();
      const scale = box.width / drawn.width.baseVal.value, [left, top] = view.origin().map((start, i) => start + view.padding()[i ? "top" : "left"]), from = place.getBoundingClientRect();
      const place1 = (value, origin, start) => start + (value + origin) * scale;
      const { x1, y1, x2, y2 } = item.bounds;
      Object.assign(ring.style, {
        display: "block",
        left: `${place1(x1 + x, left, box.left - from.left) - 3}px`,
        top: `${place1(y1 + y, top, box.top - from.top) - 3}px`,
        width: `${(x2 - x1) * scale + 6}px`,
        height: `${(y2 - y1) * scale + 6}px`,
      });
      voice.textContent = `${said(item.tooltip)} (${at + 1} of ${all.length})`;
    };
    place.onkeydown = (event) => {
      const all = marks(), step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (step) go(all, at < 0 && step < 0 ? all.length - 1 : at + step);
      else if (event.key === "Home") go(all, 0);
      else if (event.key === "End") go(all, all.length - 1);
      else if (event.key === "Enter" && at >= 0 && hasStore(view) && all[at].item.datum?.piece) choose(all[at].item.datum.piece);
      else return;
      event.preventDefault();
    };
    place.onblur = clear;
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
