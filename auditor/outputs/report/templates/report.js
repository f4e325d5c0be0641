"use strict";
(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const at = Object.fromEntries(data.row.map((name, place) => [name, place]));
  const STEP = 100, PRINTED = 400;
  const numeric = new Set(["record", "deviation", "detail"]);
  const cell = (row, name) => numeric.has(name) ? row[at[name]] : data.texts[row[at[name]]];
  const byId = (id) => document.getElementById(id);
  const form = byId("filters"), list = byId("rows"), count = byId("count"), further = byId("further");
  const fieldName = (field) => data.words.fields[field] || field.replace(/_/g, " ");
  const causeName = (cause) => data.words.causes[cause] || cause;
  const ruleTitle = (rule) => (data.rules[rule] || {title: rule}).title;
  const gradeRank = (row) => data.grades.indexOf(cell(row, "grade"));
  const number = (value) => value.toLocaleString("en-US");
  let chosen = [], drawn = 0;

  // Texts from feeds only ever become text nodes.
  function make(tag, attributes, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) element.setAttribute(name, value);
    for (const child of children) if (child !== null && child !== undefined) element.append(child);
    return element;
  }
  const quoted = (text, style) => make("bdi", style ? {class: style} : null, text);
  const cut = (text, longest) => text.length > longest ? text.slice(0, longest - 1) + "…" : text;

  const plain = (text) => text.toLowerCase().replace(/[^a-z0-9]/g, "");
  const sameWords = (column, field) => plain(column) === plain(field) || plain(column) === plain(fieldName(field));
  const listingOf = (row) => cell(row, "sku") || cell(row, "part_number") || cell(row, "gtin");
  function placeOf(row) {
    const sheet = cell(row, "sheet"), record = cell(row, "record");
    return cell(row, "feed") + (sheet ? " [" + sheet + "]" : "") + (record === null ? "" : ", record " + number(record));
  }

  function drawLine(row) {
    const grade = cell(row, "grade"), derived = cell(row, "derived");
    const what = make("span", {class: "what"}, make("b", null, fieldName(cell(row, "field"))), " ");
    what.append(quoted(cut(cell(row, "stated"), 60) || "(empty)", "stated"));
    if (derived) what.append(make("span", {class: "arrow"}, " should be "), quoted(cut(derived, 60), "derived"));
    const summary = make("summary", null,
      make("span", {class: "tag " + grade}, grade),
      make("span", {class: "mark"}, quoted(cut(cell(row, "marking"), 60) || "no marking")),
      what,
      make("span", {class: "who"}, quoted(cut(cell(row, "supplier") || cell(row, "feed"), 60)), " ", quoted(cut(listingOf(row), 40))));
    const slip = make("details", {class: "slip-line", id: "finding-" + cell(row, "key")}, summary);
    slip.addEventListener("toggle", () => {
      if (!slip.open) return;
      fillSlip(slip, row);
      remember("#" + slip.id);
    });
    return make("li", null, slip);
  }

  function fillSlip(slip, row) {
    if (slip.querySelector(".inside")) return;
    const rule = data.rules[cell(row, "rule")], inside = make("div", {class: "inside"});
    inside.append(make("p", {class: "said"}, quoted(cell(row, "message"))));
    inside.append(drawMarking(cell(row, "marking")));
    inside.append(drawStatements(row));
    const facts = make("dl", {class: "facts"});
    const fact = (name, value) => { if (value) facts.append(make("dt", null, name), make("dd", null, quoted(value))); };
    fact("Title", cell(row, "title"));
    fact("Likely cause", causeName(cell(row, "likely_cause")));
    fact("Suggestion", cell(row, "suggestion") ? "put " + cell(row, "suggestion") + " in " + (cell(row, "column") || fieldName(cell(row, "field"))) : "none is certain; ask the supplier");
    fact("Evidence", cell(row, "evidence"));
    fact("Listing", [cell(row, "sku") && "SKU " + cell(row, "sku"), cell(row, "part_number") && "part " + cell(row, "part_number"), cell(row, "gtin") && "GTIN " + cell(row, "gtin"), placeOf(row)].filter(Boolean).join(" · "));
    fact("Rule", cell(row, "rule") + (rule ? ": " + rule.why : ""));
    fact("Source", rule && rule.source);
    fact("Key", cell(row, "key"));
    inside.append(facts);
    const say = make("span", {role: "status", class: "small"});
    const deed = (label, text) => {
      const button = make("button", {type: "button"}, label);
      button.addEventListener("click", async () => { say.textContent = await copy(text()) ? "Copied." : "This browser does not let pages copy; select the text instead."; });
      return button;
    };
    inside.append(make("div", {class: "deeds"},
      deed("Copy as text", () => asText(row)),
      deed("Copy link", () => location.href.split("#")[0] + "#" + slip.id),
      cell(row, "suggestion") ? deed("Copy suggestion", () => cell(row, "suggestion")) : null, say));
    slip.append(inside);
  }

  function drawMarking(marking) {
    if (!marking) return make("p", null, "The listing has no marking that can be read.");
    const parts = (data.parts[marking] || []).map((place) => data.named[place]);
    if (!parts.length) return make("ul", {class: "molded", "aria-label": "Marking"}, make("li", {style: "max-width:none"}, make("span", {class: "cut"}, quoted(marking))));
    return make("ul", {class: "molded", "aria-label": "The marking and its parts"}, ...parts.map(([text, name, meaning]) =>
      make("li", null, make("span", {class: "cut"}, text), name || meaning ? make("span", {class: "label"}, make("b", null, name), meaning) : null)));
  }

  function drawStatements(row) {
    const said = data.details[cell(row, "detail")];
    const lines = said ? said.map(([field, column, stated, derived, agrees]) => [data.texts[field], data.texts[column], data.texts[stated], data.texts[derived], agrees])
      : [[cell(row, "field"), cell(row, "column"), cell(row, "stated"), cell(row, "derived"), 0]];
    // The finding itself may rest on more than this table compares, a text for instance.
    for (const line of lines) if (line[0] === cell(row, "field") && line[1] === cell(row, "column")) [line[3], line[4]] = [cell(row, "derived") || line[3], 0];
    const body = make("tbody"), others = make("ul", {class: "leaders"});
    for (const [field, column, stated, derived, agrees] of lines) {
      if (agrees === -1 && !derived) {
        others.append(make("li", null, make("span", null, fieldName(field)), make("span", null, quoted(stated))));
        continue;
      }
      const verdict = agrees === 1 ? "✓ agrees" : agrees === 0 ? "✗ differs" : "cannot be told";
      body.append(make("tr", agrees === 0 ? {class: "differs"} : null,
        make("th", {scope: "row"}, fieldName(field), column && !sameWords(column, field) ? make("small", null, quoted(cut(column, 60))) : null),
        make("td", null, quoted(stated)), make("td", null, quoted(derived || "–")), make("td", null, verdict)));
    }
    const heading = (name) => make("th", {scope: "col"}, name);
    const table = make("table", {class: "statements"}, make("caption", null, "What the listing says beside what its marking says"),
      make("thead", null, make("tr", null, heading("Field"), heading("Listing"), heading("Marking"), heading("Verdict"))), body);
    if (!others.childElementCount) return table;
    const both = make("div");
    both.append(table, make("details", {class: "others"}, make("summary", null, "What else the listing says, not compared with the marking"), others));
    return both;
  }

  function asText(row) {
    const lines = [cell(row, "grade").toUpperCase() + ": " + cell(row, "message")];
    const add = (name, value) => { if (value) lines.push(name + ": " + value); };
    add("Supplier", cell(row, "supplier"));
    add("SKU", cell(row, "sku"));
    add("Part number", cell(row, "part_number"));
    add("GTIN", cell(row, "gtin"));
    add("Feed", placeOf(row));
    add("Marking", cell(row, "marking"));
    add(fieldName(cell(row, "field")), cell(row, "stated"));
    add("Should be", cell(row, "derived"));
    add("Put in", cell(row, "suggestion"));
    add("Likely cause", causeName(cell(row, "likely_cause")));
    add("Rule", cell(row, "rule"));
    add("Key", cell(row, "key"));
    return lines.join("\n") + "\n";
  }

  async function copy(text) {
    try { await navigator.clipboard.writeText(text); return true; } catch { /* older browsers and some mail viewers */ }
    const area = make("textarea", {class: "unseen", "aria-hidden": "true"});
    area.value = text;
    document.body.append(area);
    area.select();
    let done = false;
    try { done = document.execCommand("copy"); } catch { done = false; }
    area.remove();
    return done;
  }

  function remember(hash) {
    try { history.replaceState(null, "", hash); } catch { /* some viewers forbid it; the page works without */ }
  }

  const haystacks = new Array(data.rows.length);
  const searched = ["key", "rule", "field", "column", "supplier", "sku", "part_number", "gtin", "feed", "stated", "derived", "marking", "brand", "title", "suggestion", "message", "likely_cause"];
  function haystack(place) {
    return haystacks[place] || (haystacks[place] = searched.map((name) => cell(data.rows[place], name)).join("\n").toLowerCase());
  }

  const orders = {
    supplier: (a, b) => text(a, b, "supplier"),
    feed: (a, b) => text(a, b, "feed") || cell(a, "record") - cell(b, "record"),
    rule: (a, b) => text(a, b, "rule"),
    field: (a, b) => text(a, b, "field"),
    marking: (a, b) => text(a, b, "marking"),
    deviation: (a, b) => Math.abs(cell(b, "deviation") || 0) - Math.abs(cell(a, "deviation") || 0),
  };
  const collator = new Intl.Collator("en", {numeric: true});
  const text = (a, b, name) => collator.compare(cell(a, name), cell(b, name));

  function choose() {
    const wanted = Object.fromEntries(new FormData(form));
    const words = wanted.text.toLowerCase().split(/\s+/).filter(Boolean);
    const size = wanted.size.toLowerCase().replace(/\s+/g, ""), brand = wanted.brand.trim().toLowerCase();
    chosen = data.rows.filter((row, place) =>
      (!wanted.grade || cell(row, "grade") === wanted.grade) &&
      (!wanted.supplier || cell(row, "supplier") === wanted.supplier.slice(1)) &&
      (!wanted.rule || cell(row, "rule") === wanted.rule) &&
      (!wanted.field || cell(row, "field") === wanted.field) &&
      (!brand || cell(row, "brand").toLowerCase().includes(brand)) &&
      (!size || cell(row, "marking").toLowerCase().replace(/\s+/g, "").includes(size)) &&
      words.every((word) => haystack(place).includes(word)));
    if (orders[wanted.order]) chosen.sort(orders[wanted.order]);
    drawn = 0;
    list.replaceChildren();
    drawMore(STEP);
  }

  function drawMore(step) {
    const upto = Math.min(chosen.length, drawn + step);
    list.append(...chosen.slice(drawn, upto).map(drawLine));
    drawn = upto;
    const left = chosen.length - drawn;
    further.hidden = left === 0;
    byId("show-more").textContent = "Show " + number(Math.min(STEP, left)) + " more";
    const fit = chosen.length === data.rows.length ? number(chosen.length) + (chosen.length === 1 ? " finding" : " findings")
      : number(chosen.length) + " of " + number(data.rows.length) + " listed findings fit";
    count.textContent = chosen.length ? fit + (left ? "; the first " + number(drawn) + " are shown" : "") : "No listed finding fits. Clear a filter.";
  }

  function options(name, label, mark) {
    const counts = new Map();
    for (const row of data.rows) counts.set(cell(row, name), (counts.get(cell(row, name)) || 0) + 1);
    const values = [...counts.keys()].sort((a, b) => collator.compare(label(a), label(b)));
    for (const value of values) form.elements[name].append(make("option", {value: mark + value}, cut(label(value), 50)));
  }

  function hints(id, name) {
    const values = [...new Set(data.rows.map((row) => cell(row, name)))].filter((value) => value && value.length < 60);
    byId(id).append(...values.sort(collator.compare).slice(0, 500).map((value) => make("option", {value})));
  }

  function clear() {
    for (const field of form.elements) if (field.name) field.value = field.name === "order" ? "worst" : "";
  }

  function openLinked() {
    const match = /^#finding-(.+)$/.exec(location.hash);
    if (!match) return;
    const key = decodeURIComponent(match[1]);
    if (!chosen.some((row) => cell(row, "key") === key)) { clear(); choose(); }
    const place = chosen.findIndex((row) => cell(row, "key") === key);
    if (place < 0) {
      count.textContent = "The finding " + cut(key, 40) + " is not listed on this page; look for its key in findings.csv.";
      byId("findings").scrollIntoView();
      return;
    }
    if (place >= drawn) drawMore(place + 1 - drawn);
    const slip = byId("finding-" + key);
    slip.open = true;
    fillSlip(slip, chosen[place]);
    slip.scrollIntoView({block: "start", behavior: "instant"});
    slip.querySelector("summary").focus({preventScroll: true});
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest && event.target.closest("a");
    if (!link) return;
    if (link.dataset.pick) {
      event.preventDefault();
      clear();
      const field = form.elements[link.dataset.pick];
      field.value = (link.dataset.pick === "supplier" ? "=" : "") + link.dataset.value;
      choose();
      if (field.value === "" && link.dataset.value !== "") count.textContent = "None of these is listed on this page; findings.csv has all.";
      byId("findings").scrollIntoView();
      byId("findings").focus({preventScroll: true});
    } else if (link.hash && link.hash === location.hash && link.hash.startsWith("#finding-")) {
      event.preventDefault();
      openLinked();
    }
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", (event) => { event.preventDefault(); clear(); choose(); form.elements.text.focus(); });
  let waiting = 0;
  form.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(choose, 120); });
  byId("show-more").addEventListener("click", () => {
    const first = drawn;
    drawMore(STEP);
    const next = list.children[first];
    if (next) next.querySelector("summary").focus();
  });
  for (const button of document.querySelectorAll("button.unfold")) button.addEventListener("click", () => {
    const more = byId(button.getAttribute("aria-controls"));
    more.hidden = false;
    button.parentElement.hidden = true;
    more.querySelector("a, th").focus();
  });
  window.addEventListener("hashchange", openLinked);
  window.addEventListener("beforeprint", () => {
    if (drawn < PRINTED) drawMore(PRINTED - drawn);
  });

  options("supplier", (name) => name || "(not named)", "=");
  options("rule", ruleTitle, "");
  options("field", fieldName, "");
  hints("brands", "brand");
  hints("sizes", "size");
  form.hidden = false;
  choose();
  // After the browser's own jump to the fragment, which would take the focus away again.
  window.addEventListener("load", () => setTimeout(openLinked));
})();
