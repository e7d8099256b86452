"use strict";
// Draws one recipe from its data. All text goes in as text: nothing here makes HTML of a string.

const LEVELS = ["none", "note", "warning", "error"];
const MARKS = { none: "✓", note: "●", warning: "▲", error: "✖" };
const VESSELS = ["mash", "sparge", "batch"];
const SVG = "http://www.w3.org/2000/svg";

// Marks that turn the direction of writing would turn what stands beside a text.
const UNFIT = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/g;
function clean(value) {
  const text = String(value).replace(UNFIT,
    (sign) => "\\u" + sign.charCodeAt(0).toString(16).padStart(4, "0"));
  return text.toWellFormed ? text.toWellFormed() : text;
}

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value === true) node.setAttribute(name, "");
    else if (value !== null && value !== undefined && value !== false) node.setAttribute(name, clean(value));
  }
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === "") continue;
    node.append(child instanceof Node ? child : clean(child));
  }
  return node;
}
const h = (tag, attributes, ...children) => fill(document.createElement(tag), attributes, children);
const s = (tag, attributes, ...children) => fill(document.createElementNS(SVG, tag), attributes, children);
const own = (text) => h("bdi", null, text);
const image = (width, height, words, ...children) => s("svg", words === null
  ? { viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true", focusable: "false" }
  : { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": words }, ...children);

function number(value, digits) {
  if (value === null || value === undefined) return "–";
  if (digits === undefined) {
    const size = Math.abs(value);
    digits = size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2;
    if (size >= 10000) return Math.round(value).toLocaleString("en").replace(/,/g, "\u202f");
  }
  const text = (Math.round(value * 10 ** digits) / 10 ** digits + 0).toFixed(digits);
  return text.replace("-", "−");
}
function spread(figure, digits) {
  if (!figure) return "–";
  if (digits === undefined) digits = Math.abs(figure[0]) >= 9.995 ? 0 : 2;
  return `${number(figure[0], digits)} ± ${number(figure[1], digits + (figure[1] < 0.5 && digits < 2 ? 1 : 0))}`;
}
// A limit as it was set: no idle zeros.
const limit = (value) => String(Number(value.toPrecision(4))).replace("-", "−");
const mark = (level, words) => h("span", { class: `level level-${level}` },
  h("span", { "aria-hidden": "true" }, MARKS[level]), " " + words);

// The range without a finding: of each side the bound that is met first.
function rangeOf(bounds) {
  let low = null, high = null;
  for (const [side, , value] of bounds || []) {
    if (side === 0) low = low === null ? value : Math.max(low, value);
    else high = high === null ? value : Math.min(high, value);
  }
  return [low, high];
}
function rangeWords([low, high], unit) {
  const more = unit ? " " + unit : "";
  if (low === null && high === null) return "none";
  if (low === null) return `at most ${limit(high)}${more}`;
  if (high === null) return `at least ${limit(low)}${more}`;
  return `${limit(low)} to ${limit(high)}${more}`;
}
const isOut = (value, [low, high]) =>
  (low !== null && value < low - 1e-9) || (high !== null && value > high + 1e-9);
// Every limit of some figures with where it comes from: [title, unit, bounds] each.
function bases(words, figures) {
  const lines = figures.flatMap(([title, unit, bounds]) => (bounds || []).map(([side, level, value, who, basis]) =>
    h("li", null, `${title} ${side ? "above" : "below"} ${limit(value)} ${unit}`.trim(),
      `: a ${LEVELS[level + 1]}, `, own(who), ". Basis: ", own(basis))));
  return lines.length ? h("details", { class: "basis" }, h("summary", null, words), h("ul", null, lines)) : null;
}

function findings(recipe, base) {
  if (!recipe.found.length) {
    const aside = recipe.aside ? ` ${recipe.aside} set aside.` : "";
    return h("p", null, mark("none", "Nothing found." + aside));
  }
  const list = recipe.found.map(([level, rule, message, help, basis, path, line, column]) =>
    h("li", { class: `of-${LEVELS[level + 1]}` },
      h("p", null, mark(LEVELS[level + 1], LEVELS[level + 1]), " ", h("code", null, rule), " ",
        h("a", { href: base + path.split("/").map(encodeURIComponent).join("/") + `#L${line}` },
          own(`${path}:${line}:${column}`))),
      h("p", null, own(message)),
      help ? h("p", { class: "small" }, "Do: ", own(help)) : null,
      basis ? h("p", { class: "small" }, "Basis: ", own(basis)) : null));
  return h("ul", { class: "findings" }, list,
    recipe.aside ? h("li", { class: "small" }, `${recipe.aside} more are excused or known.`) : null);
}

// A range on a scale; where it goes on beyond the scale it has no edge.
function zone(x, [low, high], [from, to], y, height) {
  if (low === null && high === null) return [];
  const left = x(low ?? from), right = x(high ?? to);
  const edge = (at) => s("line", { x1: at, x2: at, y1: y, y2: y + height, class: "zone-edge" });
  return [s("rect", { x: left, y, height, width: Math.max(1, right - left), class: "zone" }),
    low !== null && low > from ? edge(left) : null, high !== null && high < to ? edge(right) : null];
}
// Drawn as wide as there is room, so that its words keep their size on a phone.
const room = (most) => Math.round(Math.max(260, Math.min(most, document.documentElement.clientWidth - 64)));

function axis(x, y, [from, to], step, digits) {
  const parts = [];
  for (let value = Math.ceil(from / step) * step; value <= to + 1e-9; value += step) {
    parts.push(s("line", { x1: x(value), x2: x(value), y1: y - 4, y2: y, class: "tick-line" }),
      s("text", { x: x(value), y: y + 12, "text-anchor": "middle", class: "tick" }, number(value, digits)));
  }
  return parts.flat(Infinity).filter((part) => part !== null);
}
function mashStrip(mash) {
  if (!mash || !mash.ph) return h("p", null, "The mash pH is not known.");
  const [value, sd] = mash.ph, range = rangeOf(mash.bounds);
  const from = Math.min(5.0, value - sd - 0.1), to = Math.max(5.9, value + sd + 0.1);
  const wide = room(600), step = wide < 450 ? 0.2 : 0.1;
  const x = (ph) => 12 + (wide - 24) * (Math.min(Math.max(ph, from), to) - from) / (to - from);
  const interval = `${number(value - sd, 2)} to ${number(value + sd, 2)}`;
  const words = `Mash pH ${number(value, 2)}, interval ${interval}, range ${rangeWords(range, "")}.`;
  const out = isOut(value, range);
  return [
    h("p", null, `pH ${number(value, 2)} (${interval}), of a sample cooled to ${number(mash.at, 0)} °C; `,
      out ? mark("warning", "outside its range") : "within its range", ".",
      mash.thickness ? ` The mash has ${number(mash.thickness, 1)} L/kg.` : ""),
    h("div", { class: "strip" }, image(wide, 46, words, zone(x, range, [from, to], 4, 18),
      s("line", { x1: 12, x2: wide - 12, y1: 28, y2: 28, class: "track" }), axis(x, 28, [from, to], step, 1),
      s("line", { x1: x(value - sd), x2: x(value + sd), y1: 13, y2: 13, class: "spread" }),
      s("circle", { cx: x(value), cy: 13, r: 6, class: out ? "point out" : "point" }))),
    bases("Its limits and their bases", [["mash pH", "", mash.bounds]]),
  ];
}

// Mash water and whole batch on one line; what the kettle alone brings is thick.
function waterPlot(row) {
  const [mash, , batch] = row.in;
  const range = rangeOf(row.bounds.batch || row.bounds.mash);
  const known = [mash, batch].filter(Boolean);
  if (!known.length) return "";
  const low = Math.min(0, ...known.map(([value, sd]) => value - sd));
  const most = Math.max(...known.map(([value, sd]) => value + sd), range[1] ?? 0, 1.25 * (range[0] ?? 0), 1e-9);
  const top = Math.min(most * 1.06, 3 * Math.max(...known.map(([value, sd]) => value + sd), range[0] ?? 0, most / 4));
  const x = (value) => 6 + 308 * (Math.min(Math.max(value, low), top) - low) / (top - low);
  const y = 13, parts = [s("line", { x1: 6, x2: 314, y1: 28, y2: 28, class: "track" })];
  parts.push(zone(x, range, [low, top], 2, 24));
  if (batch && row.kettle > 0.005 * top) {
    parts.push(s("line", { x1: x(batch[0] - row.kettle), x2: x(batch[0]), y1: y, y2: y, class: "shift" }));
  }
  for (const [figure, hollow] of [[batch, false], [mash, true]]) {
    if (!figure) continue;
    const [value, sd] = figure;
    const out = !hollow && isOut(value, range) ? " out" : "";
    parts.push(s("line", { x1: x(value - sd), x2: x(value + sd), y1: y, y2: y, class: "spread" }),
      hollow ? s("path", { d: `M${x(value)} ${y - 5}l5 5l-5 5l-5 -5z`, class: "point hollow" })
        : s("circle", { cx: x(value), cy: y, r: 4.5, class: "point" + out }));
  }
  return image(320, 30, null, ...parts);
}
function waters(recipe) {
  const litres = (recipe.litres || []).map((each) => each === null ? "–" : `${number(each, 1)} L`);
  // A vessel that the recipe has not gets no column.
  const has = VESSELS.map((_, at) => recipe.waters.some((row) => row.in[at]));
  const vessels = ["mash water", "sparge water", "whole batch"].map((title, at) =>
    [title, h("br"), h("span", { class: "small" }, litres[at])]).filter((_, at) => has[at]);
  const known = recipe.waters.filter((row) => row.in.some(Boolean));
  const ions = known.filter((row) => row.unit === "mg/L"), others = known.filter((row) => row.unit !== "mg/L");
  return [
    waterTable("Ions in mg/L with one standard deviation.",
      ["ion", "mash ◇, batch ●", ...vessels, "of it from kettle doses", "range"], ions, has, true),
    waterLegend(),
    waterTable("What follows from them, with one standard deviation.",
      ["figure", ...vessels.map((each) => each[0]), "range"], others, has, false),
    bases("The limits of all these figures and their bases", known.flatMap((row) =>
      Object.entries(row.bounds).map(([vessel, bounds]) =>
        [`${row.title} of the ${vessel === "batch" ? "whole batch" : `${vessel} water`}`, row.unit, bounds])))];
}
function waterTable(caption, heads, rows, has, drawn) {
  const first = drawn ? 2 : 1, last = heads.length - 2;
  return h("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": caption },
    h("table", { class: drawn ? "waters" : "waters plain" }, h("caption", null, h("span", null, caption)),
      h("thead", null, h("tr", null, heads.map((head, at) =>
        h("th", { scope: "col", class: at >= first && at <= last ? "figure" : null }, head)))),
      h("tbody", null, rows.map((row) => waterRow(row, has, drawn)))));
}
function waterRow(row, has, drawn) {
  const vessel = ["batch", "mash", "sparge"].find((each) => row.bounds[each]);
  const bounds = row.bounds[vessel], range = rangeOf(bounds);
  const unit = row.unit && row.unit !== "mg/L" ? h("span", { class: "small" }, ` [${row.unit}]`) : "";
  return h("tr", null, h("th", { scope: "row" }, row.title, unit),
    drawn ? h("td", { class: "plot" }, waterPlot(row)) : null,
    row.in.map((figure, at) => {
      if (!has[at]) return null;
      const out = figure && VESSELS[at] === vessel && isOut(figure[0], range);
      return h("td", { class: "figure" + (out ? " beyond" : "") }, out ? mark("warning", spread(figure)) : spread(figure),
        out ? h("span", { class: "hidden" }, " outside its range") : "");
    }),
    drawn ? h("td", { class: "figure" }, row.kettle > 0.05 ? number(row.kettle) : "–") : null,
    h("td", { class: "range" }, bounds ? rangeWords(range, "") : "–",
      vessel === "batch" || !bounds ? "" : h("span", { class: "small" }, ` (${vessel})`)));
}
const waterLegend = () => h("ul", { class: "legend" },
  [[s("path", { d: "M16 5l5 5l-5 5l-5 -5z", class: "point hollow" }), "mash water"],
    [s("circle", { cx: 16, cy: 10, r: 4.5, class: "point" }), "whole batch"],
    [s("line", { x1: 2, x2: 30, y1: 10, y2: 10, class: "spread" }), "68 % interval"],
    [s("line", { x1: 2, x2: 30, y1: 10, y2: 10, class: "shift" }), "brought by kettle doses"],
    [s("rect", { x: 2, y: 3, width: 28, height: 14, class: "zone" }), "range"]]
    .map(([drawn, words]) => h("li", null, image(32, 20, null, drawn), words)));

function sources(recipe) {
  const parts = recipe.sources;
  const ions = [...new Set(parts.flatMap((part) => Object.keys(part.mg)))]
    .filter((ion) => parts.some((part) => Math.abs(part.mg[ion] || 0) > 0.5));
  const name = (part) => [own(part.label), part.water ? ` in the ${part.place} water` : ` in the ${part.place}`];
  const total = (ion) => parts.reduce((sum, part) => sum + (part.mg[ion] || 0), 0);
  const head = h("tr", null, h("th", { scope: "col" }, "from"),
    ions.map((ion) => h("th", { scope: "col", class: "figure" }, ion)));
  const row = (title, of) => h("tr", null, h("th", { scope: "row" }, title),
    ions.map((ion) => h("td", { class: "figure" }, of(ion) ? number(of(ion), 0) : "–")));
  const table = h("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": "Sources" },
    h("table", null, h("caption", null,
      h("span", null, "Milligrams in the whole batch; alkalinity as CaCO3, less than nothing for acid.")),
      h("thead", null, head),
      h("tbody", null, parts.map((part) => row(name(part), (ion) => part.mg[ion])), row("together", total))));
  return [stacks(parts, ions.filter((ion) => ion !== "alkalinity")), table];
}
let hatches = 0;
function stacks(parts, ions) {
  const wide = room(640), long = wide - 84 - 76;
  const height = 26 * ions.length + 4, id = `hatch-${++hatches}`;
  const used = [...new Set(parts.map((part) => part.place))];
  const defs = s("defs", null, used.map((place) => s("pattern",
    { id: `${id}-${place}`, width: 5, height: 5, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)", class: `in-${place}` },
    s("line", { x1: 0, x2: 0, y1: 0, y2: 5, class: "hatch" }))));
  const drawn = ions.flatMap((ion, line) => {
    const whole = parts.reduce((sum, part) => sum + Math.max(0, part.mg[ion] || 0), 0) || 1;
    let at = 84;
    return [s("text", { x: 0, y: 26 * line + 18, class: "label" }, ion), ...parts.flatMap((part) => {
      const amount = Math.max(0, part.mg[ion] || 0), width = long * amount / whole, from = at;
      at += width;
      if (width < 0.5) return [];
      const box = { x: from, y: 26 * line + 4, width, height: 19 };
      const title = s("title", null, `${part.label} (${part.place}): ${number(amount, 0)} mg, ${number(100 * amount / whole, 0)} %`);
      return [s("g", { class: `in-${part.place}` },
        s("rect", { ...box, class: part.water ? "segment water" : "segment" }, title),
        part.water ? s("rect", { ...box, fill: `url(#${id}-${part.place})`, "pointer-events": "none" }) : null,
        width > 13 ? s("text", { x: from + width / 2, y: 26 * line + 18, class: part.water ? "letter water" : "letter" },
          part.place[0].toUpperCase()) : null)];
    }), s("text", { x: 84 + long + 8, y: 26 * line + 18, class: "tick" }, `${number(whole, 0)} mg`)];
  });
  const words = "Shares of each ion by source; the table below has the figures.";
  return [h("div", { class: "stack" }, image(wide, height, words, defs, ...drawn)),
    h("ul", { class: "legend" }, used.map((place) => h("li", { class: `in-${place}` },
      image(32, 20, null, s("rect", { x: 2, y: 3, width: 28, height: 14, class: "segment" })),
      `${place[0].toUpperCase()} ${place}`)), h("li", null, "hatched: with the water; solid: added"))];
}

function plane(recipe) {
  const find = (title) => recipe.waters.find((row) => row.title === title);
  const rows = [find("chloride"), find("sulfate"), find("chloride to sulfate")];
  const [chloride, sulfate, ratio] = rows.map((row) => row && row.in[2]);
  if (!chloride || !sulfate) return null;
  const ranges = rows.map((row) => rangeOf(row.bounds.batch));
  const end = (figure, range) => {
    const most = Math.max(60, 1.15 * (figure[0] + figure[1]), 1.1 * (range[0] ?? 0),
      Math.min(1.1 * (range[1] ?? 0), 3 * figure[0]));
    const step = 10 ** (Math.ceil(Math.log10(most)) - 1) / 2;
    return step * Math.ceil(most / step);
  };
  const ends = [end(chloride, ranges[0]), end(sulfate, ranges[1])];
  const x = (value) => 46 + 264 * value / ends[0], y = (value) => 214 - 204 * value / ends[1];
  // Beyond the axes the area goes on, so that an edge is drawn only where there is a limit.
  const far = ends.map((each) => 9 * each);
  let corners = [[0, 0], [1, 0], [1, 1], [0, 1]].map(([a, b]) => [
    a ? ranges[0][1] ?? far[0] : ranges[0][0] ?? 0, b ? ranges[1][1] ?? far[1] : ranges[1][0] ?? 0]);
  const cut = (a, b) => {
    const kept = [];
    corners.forEach((start, at) => {
      const next = corners[(at + 1) % corners.length];
      const before = a * start[0] + b * start[1], after = a * next[0] + b * next[1];
      if (before >= 0) kept.push(start);
      if (before * after < 0) {
        const share = before / (before - after);
        kept.push([start[0] + share * (next[0] - start[0]), start[1] + share * (next[1] - start[1])]);
      }
    });
    corners = kept;
  };
  if (ranges[2][0] !== null) cut(1, -ranges[2][0]);
  if (ranges[2][1] !== null) cut(-1, ranges[2][1]);
  const bounded = ranges.some((range) => range[0] !== null || range[1] !== null);
  const [cx, cy] = [x(chloride[0]), y(sulfate[0])];
  const ticks = [0, 0.5, 1].flatMap((share) => [
    s("text", { x: x(share * ends[0]), y: 230, class: "tick", "text-anchor": "middle" }, number(share * ends[0], 0)),
    s("text", { x: 40, y: y(share * ends[1]) + 4, class: "tick", "text-anchor": "end" }, number(share * ends[1], 0))]);
  const words = `Chloride ${spread(chloride)} mg/L, sulfate ${spread(sulfate)} mg/L` +
    (ratio ? `, chloride to sulfate ${spread(ratio, 2)}` : "") + ".";
  return h("div", { class: "plane" }, h("h3", null, "Chloride and sulfate of the whole batch"), h("p", null, words, " Range: ",
    ["chloride", "sulfate", "ratio"].map((title, at) => `${title} ${rangeWords(ranges[at], at < 2 ? "mg/L" : "")}`).join("; "), "."),
  image(330, 250, words,
    s("rect", { x: 46, y: 10, width: 264, height: 204, fill: "none", class: "track" }),
    bounded && corners.length > 2 ? s("svg",
      { x: 46, y: 10, width: 264, height: 204, viewBox: "46 10 264 204" },
      s("polygon", { points: corners.map(([a, b]) => `${x(a)},${y(b)}`).join(" "), class: "zone" })) : null,
    ticks,
    s("text", { x: 178, y: 246, class: "label", "text-anchor": "middle" }, "chloride [mg/L]"),
    s("text", { x: 10, y: 112, class: "label", "text-anchor": "middle", transform: "rotate(-90 10 112)" }, "sulfate [mg/L]"),
    s("line", { x1: x(chloride[0] - chloride[1]), x2: x(chloride[0] + chloride[1]), y1: cy, y2: cy, class: "spread" }),
    s("line", { x1: cx, x2: cx, y1: y(sulfate[0] - sulfate[1]), y2: y(sulfate[0] + sulfate[1]), class: "spread" }),
    s("circle", { cx, cy, r: 5, class: "point" })));
}

function drawRecipe(recipe, base) {
  const parts = [h("ul", { class: "facts" },
    recipe.name.length > 100 ? h("li", null, own(recipe.name)) : null,
    h("li", null, "style: ", recipe.style ? own(recipe.style) : "none"),
    recipe.color ? h("li", null, `colour ${number(recipe.color[0], 0)} EBC (${number(recipe.color[1], 0)} SRM)`) : null,
    h("li", null, h("a", { href: base + recipe.path.split("/").map(encodeURIComponent).join("/") }, own(recipe.path)))),
  h("h3", null, "What is found"), findings(recipe, base)];
  if (!recipe.waters) {
    parts.push(h("p", null, "Its figures are not known while these errors stand."));
    return parts.flat(Infinity).filter((part) => part !== null);
  }
  parts.push(h("div", { class: "two" },
    recipe.mash ? h("div", null, h("h3", null, "Mash pH"), mashStrip(recipe.mash)) : null, plane(recipe)));
  parts.push(h("h3", null, "Waters and their ranges"), waters(recipe));
  if (recipe.sources.length) parts.push(h("h3", null, "Where every milligram comes from"), ...sources(recipe));
  if (recipe.gaps.length) {
    parts.push(h("h3", null, "Not computed, or only roughly"), h("ul", null,
      recipe.gaps.map(([figure, reason]) => h("li", null, figure.replace(/[_.]/g, " "), ": ", own(reason)))));
  }
  return parts.flat(Infinity).filter((part) => part !== null);
}
