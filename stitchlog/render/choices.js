((offers) => {
  "use strict";
  const app = window.jupyterapp, here = document.currentScript;
  if (!app || !here) return;
  const panel = [...app.shell.widgets("main")].find((widget) => widget.node.contains(here));
  const cells = panel?.content?.widgets, header = panel?.contentHeader;
  if (!cells || !header) return;
  const MIME = "application/vnd.vegalite.v5+json", MARK = "stitchlog-choices";
  // A line of the cell: name, type, value, help.
  const LINE = /^(\w+)(\s*:\s*[^=]+?)?(\s*=\s*)("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*'|[^#]*?)(\s*#.*)?$/;

  const parameters = () =>
    panel.content.widgets.find((cell) => cell.model.type === "code" && (cell.model.getMetadata("tags") ?? []).includes("parameters"));
  const read = () => {
    const found = new Map();
    for (const line of parameters()?.model.sharedModel.getSource().split("\n") ?? []) {
      const parts = LINE.exec(line);
      if (parts) found.set(parts[1], { type: (parts[2] ?? "").replace(/[\s:]/g, ""), value: parts[4].trim() });
    }
    return found;
  };
  const text = (value) => (/^["']/.test(value) ? value.slice(1, -1) : value === "None" ? "" : value);
  const typed = (value, type) => {
    if (value === "" || value === null) return "None";
    if (typeof value === "boolean") return value ? "True" : "False";
    return type === "str" ? JSON.stringify(value) : String(value);
  };

  async function write(values) {
    const cell = parameters();
    if (!cell) return;
    const lines = cell.model.sharedModel.getSource().split("\n").map((line) => {
      const parts = LINE.exec(line);
      return parts && parts[1] in values ? parts[1] + (parts[2] ?? "") + parts[3] + values[parts[1]] + (parts[5] ?? "") : line;
    });
    cell.model.sharedModel.setSource(lines.join("\n"));
    app.shell.activateById(panel.id);
    await app.commands.execute("notebook:run-all-cells");
  }

  const make = (tag, properties = {}, ...children) => {
    const made = Object.assign(document.createElement(tag), properties);
    made.append(...children);
    return made;
  };
  const select = (options, value) => {
    const made = make("select");
    for (const [label, held] of options) made.add(new Option(label, held, false, held === value));
    if (made.value !== value) made.add(new Option(value, value, true, true));
    return made;
  };

  function field(name, { type, value }, all) {
    const now = text(value);
    if (name === "piece" || name === "event") {
      if (name === "event") return null;
      const made = select([["all, or the notebook's choice", ""], ...offers.pieces.map((piece) => [piece, piece])], now);
      made.onchange = () => write({ piece: typed(made.value, "str") });
      return ["piece", made];
    }
    if (name === "start" && all.has("end")) {
      const end = text(all.get("end").value);
      const options = offers.periods.map(([label, first, last]) => [label, `${first} ${last}`]);
      const made = select([["the notebook's choice", " "], ...options], `${now} ${end}`);
      made.onchange = () => {
        const [first, last] = made.value.split(" ");
        write({ start: typed(first, "str"), end: typed(last, "str") });
      };
      return ["period", made];
    }
    if (["folder", "out", "end", "paths", "seed"].includes(name)) return null;
    const label = offers.words[name] ?? name.replaceAll("_", " ");
    let made;
    if (offers.choices[name]) {
      made = select([...(value === "None" || name === "suits" || name === "over" ? [["any", ""]] : []), ...offers.choices[name].map((held) => [String(held), String(held)])], now);
      made.onchange = () => write({ [name]: typed(made.value, type) });
    } else if (type === "bool") {
      made = make("input", { type: "checkbox", checked: value === "True" });
      made.onchange = () => write({ [name]: typed(made.checked, type) });
    } else if (["as_of", "done_by"].includes(name)) {
      made = make("input", { type: "date", value: now });
      made.onchange = () => write({ [name]: typed(made.value, type) });
    } else if (["int", "float"].includes(type)) {
      made = make("input", { type: "number", step: "any", min: 0, value: now });
      made.style.width = "6em";
      made.onchange = () => write({ [name]: typed(made.value, type) });
    } else return null;
    return [label, made];
  }

  // Charts of pieces share one choice: it is put into each, which draws itself anew.
  const charts = () => {
    const found = [];
    for (const cell of panel.content.widgets) {
      const outputs = cell.model.type === "code" ? cell.model.outputs : null;
      for (let i = 0; i < (outputs?.length ?? 0); i++) if (outputs.get(i).data[MIME]) found.push(outputs.get(i));
    }
    return found;
  };
  const units = (spec) => [spec, ...(spec.layer ?? []).flatMap(units)];
  const followed = (spec) => units(spec).flatMap((unit) => unit.params ?? []).find((param) => param.name === "follow");
  const inCharts = () => {
    const names = new Set();
    for (const { data } of charts())
      if (followed(data[MIME]))
        for (const rows of Object.values(data[MIME].datasets ?? {})) for (const row of rows) if (offers.pieces.includes(row?.piece)) names.add(row.piece);
    return [...names].sort((a, b) => a.localeCompare(b));
  };
  function follow(piece) {
    for (const output of charts()) {
      const spec = structuredClone(output.data[MIME]), param = followed(spec);
      if (!param) continue;
      if (piece) param.value = [{ piece }];
      else delete param.value;
      output.setData({ data: { ...output.data, [MIME]: spec }, metadata: output.metadata });
    }
  }
  function follower() {
    const made = make("select");
    const offer = () => {
      const now = made.value;
      made.replaceChildren(new Option("all pieces", ""), ...inCharts().map((piece) => new Option(piece, piece, false, piece === now)));
    };
    made.onfocus = made.onpointerenter = offer;
    made.onchange = () => follow(made.value);
    offer();
    return made;
  }

  const found = read(), row = make("div", { className: MARK, role: "group", ariaLabel: "Choices for this notebook" });
  for (const [name, held] of found) {
    const made = field(name, held, found);
    if (made) row.append(make("label", {}, `${made[0]} `, made[1]));
  }
  // The charts come after this row: whether there will be any, the cells say.
  if (panel.content.widgets.some((cell) => /\bcharts?\b/.test(cell.model.sharedModel.getSource())))
    row.append(make("label", {}, "follow in the charts ", follower()));
  if (!row.children.length) return;
  let box = header.widgets.find((widget) => widget.node.querySelector(`.${MARK}`));
  if (!box) {
    // A panel of the kind that is there already: this script knows no other.
    box = new header.constructor();
    box.node.style.setProperty("min-height", "42px");
    box.node.style.overflowX = "auto";
    header.addWidget(box);
  }
  const had = [...box.node.querySelectorAll("select, input")].indexOf(document.activeElement);
  row.style.cssText = "display:flex;gap:.4em 1.2em;align-items:center;white-space:nowrap;padding:6px 12px;height:42px;box-sizing:border-box";
  box.node.replaceChildren(row);
  if (had >= 0) row.querySelectorAll("select, input")[had]?.focus();
  // Its place is measured once it has one.
  setTimeout(() => { box.node.style.minHeight = "42px"; header.fit(); }, 0);
})
