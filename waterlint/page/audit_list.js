
// The list of recipes: found, sorted and leafed through here; a recipe is unpacked when opened.
(() => {
  const PAGE = 50, MOST_PRINTED = 500;
  const [NAME, PATH, , STYLE, GRAVITY, RULE, COUNTS, PH, BAND, FIGURES, BEYOND, CHUNK, PLACE, RULES] =
    Array.from({ length: 14 }, (_, at) => at);
  const list = document.getElementById("list");
  const block = document.getElementById("rows");
  if (!list || !block) return;

  async function unpacked(node) {
    const bytes = Uint8Array.from(atob(node.textContent), (sign) => sign.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    return JSON.parse(await new Response(stream).text());
  }
  const chunks = new Map();
  function chunk(at) {
    if (!chunks.has(at)) {
      if (chunks.size > 20) chunks.clear();
      chunks.set(at, unpacked(document.getElementById(`chunk-${at}`)));
    }
    return chunks.get(at);
  }

  function mini(ph, [low, high]) {
    const x = (value) => 44 * (Math.min(Math.max(value, 5), 6) - 5) * 2;
    return s("svg", { viewBox: "-6 0 100 16", class: "mini", "aria-hidden": "true", focusable: "false" },
      s("line", { x1: 0, x2: 88, y1: 8, y2: 8, class: "track" }),
      zone(x, [low, high], [5, 6], 2, 12),
      s("line", { x1: x(ph[1]), x2: x(ph[2]), y1: 8, y2: 8, class: "spread" }),
      s("circle", { cx: x(ph[0]), cy: 8, r: 4, class: isOut(ph[0], [low, high]) ? "point out" : "point" }));
  }
  function value(row, at, key, digits) {
    const figure = row[FIGURES][at], out = row[BEYOND].includes(at);
    return h("span", { class: "value" + (out ? " beyond" : "") }, h("span", { class: "key" }, key + " "),
      figure ? number(figure[0], digits) : "–", out ? " !" : "",
      out ? h("span", { class: "hidden" }, " outside its range") : "");
  }
  function item(row, data) {
    const ph = row[PH], ratio = data.figures.length - 1;
    const level = LEVELS[row[GRAVITY]];
    const found = row[COUNTS].map((count, at) => count ? `${count} ${["error", "warning", "note"][at]}${count > 1 ? "s" : ""}` : "")
      .filter(Boolean).join(", ");
    const details = h("details", { class: "recipe" }, h("summary", null,
      h("span", { class: "name" }, own(row[NAME] || row[PATH]), h("small", null, row[STYLE] ? own(row[STYLE]) : "no style")),
      h("span", { class: "value ph" + (row[BEYOND].includes(0) ? " beyond" : "") }, h("span", { class: "key" }, "mash pH "),
        ph ? [mini(ph, row[BAND]), number(ph[0], 2), " ", h("small", null, `${number(ph[1], 2)} to ${number(ph[2], 2)}`),
          row[BEYOND].includes(0) ? [" !", h("span", { class: "hidden" }, " outside its range")] : ""] : "–"),
      value(row, 1, "residual alkalinity", 0), value(row, ratio, "Cl to SO4", 2),
      h("span", { class: "finds" }, mark(level, found || "nothing found"), " ", row[RULE] ? h("code", null, row[RULE]) : "")));
    details.addEventListener("toggle", () => open(details, row, data));
    return details;
  }
  async function open(details, row, data) {
    if (!details.open || details.dataset.drawn) return;
    details.dataset.drawn = "yes";
    const body = h("div", null, h("p", null, "Unpacking …"));
    details.append(body);
    try {
      body.replaceChildren(...drawRecipe((await chunk(row[CHUNK]))[row[PLACE]], data.base));
    } catch (error) {
      body.replaceChildren(h("p", null, `This recipe cannot be drawn: ${error.message}`));
    }
  }

  const state = { word: "", worst: 0, none: false, sort: "given", down: false, from: 0, all: false };
  function shown(data) {
    const words = state.word.toLowerCase().split(/\s+/).filter(Boolean);
    let rows = data.rows.filter((row) => (state.none ? row[GRAVITY] === 0 : row[GRAVITY] >= state.worst) &&
      words.every((word) => `${row[NAME]} ${row[PATH]} ${row[STYLE]} ${row[RULES]}`.toLowerCase().includes(word)));
    const at = Number(state.sort);
    if (state.sort === "name") rows = rows.toSorted((a, b) => a[NAME].localeCompare(b[NAME]));
    else if (state.sort === "worst") rows = rows.toSorted((a, b) => b[GRAVITY] - a[GRAVITY]);
    else if (state.sort !== "given") {
      const known = rows.filter((row) => row[FIGURES][at]);
      known.sort((a, b) => a[FIGURES][at][0] - b[FIGURES][at][0]);
      return [...(state.down ? known.reverse() : known), ...rows.filter((row) => !row[FIGURES][at])];
    }
    return state.down ? rows.slice().reverse() : rows;
  }

  const count = h("p", { role: "status", class: "small" });
  const place = h("div");
  const before = h("button", { type: "button" }, "Previous"), after = h("button", { type: "button" }, "Next");
  const pager = h("div", { class: "pager" }, before, after);
  function draw(data) {
    const rows = shown(data), size = state.all ? MOST_PRINTED : PAGE;
    const page = rows.slice(state.from, state.from + size);
    count.textContent = rows.length === 0 ? "No recipe is like that." :
      `${state.from + 1} to ${state.from + page.length} of ${rows.length} recipe${rows.length > 1 ? "s" : ""}`;
    place.replaceChildren(...page.map((row) => item(row, data)));
    before.disabled = state.from === 0;
    after.disabled = state.from + size >= rows.length;
    pager.hidden = rows.length <= PAGE;
  }
  function tools(data) {
    const again = (change) => (event) => { change(event.target); state.from = 0; draw(data); };
    const option = (value, words) => h("option", { value }, words);
    const search = h("input", { type: "search", autocomplete: "off", spellcheck: "false" });
    const worst = h("select", null, option("0", "any"), option("1", "notes and graver"), option("2", "warnings and graver"),
      option("3", "errors"), option("none", "nothing found"));
    const sort = h("select", null, option("given", "as given"), option("worst", "worst finding"), option("name", "name"),
      data.figures.map((words, at) => option(String(at), words)));
    const down = h("button", { type: "button", "aria-pressed": "false" }, "Turn round");
    search.addEventListener("input", again((node) => { state.word = node.value; }));
    worst.addEventListener("change", again((node) => { state.none = node.value === "none"; state.worst = Number(node.value) || 0; }));
    sort.addEventListener("change", again((node) => { state.sort = node.value; }));
    down.addEventListener("click", again((node) => { state.down = !state.down; node.setAttribute("aria-pressed", String(state.down)); }));
    for (const [button, by] of [[before, -PAGE], [after, PAGE]]) {
      button.addEventListener("click", () => { state.from = Math.max(0, state.from + by); draw(data); list.scrollIntoView(); });
    }
    const field = (id, words, control, grow) => {
      control.id = id;
      return h("div", { class: grow ? "field grow" : "field" }, h("label", { for: id }, words), control);
    };
    return h("div", { class: "tools" }, field("search", "Name, file, style or rule", search, true),
      field("worst", "Worst finding", worst), field("sort", "In the order of", sort), down);
  }

  (async () => {
    if (typeof DecompressionStream === "undefined") {
      list.append(h("p", null, "The list of recipes needs a browser of 2023 or later."));
      return;
    }
    const data = await unpacked(block);
    const heads = h("div", { class: "heads", "aria-hidden": "true" },
      ["recipe", "mash pH (68 %)", "res. alk.", "Cl : SO4", "found"].map((head) => h("span", null, head)));
    const key = h("p", { class: "small" }, "Mash pH: the bar is its range, the line its 68 % interval, " +
      "from 5 to 6. Residual alkalinity in mg/L as CaCO3. ! lies outside its range.");
    list.append(tools(data), count, key, heads, place, pager);
    draw(data);
    addEventListener("beforeprint", () => {
      if (place.querySelector("details[open]")) return;  // what is open is what is wanted on paper
      state.all = true; draw(data);
    });
    addEventListener("afterprint", () => { if (state.all) { state.all = false; draw(data); } });
    document.documentElement.dataset.ready = "yes";
  })();
})();
