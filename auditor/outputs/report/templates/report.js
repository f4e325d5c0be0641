(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const at = Object.fromEntries(data.row.map((name, place) => [name, place]));
  const STEP = 100, PRINTED = 400;
  const numeric = new Set(["record", "deviation", "stands_for", "detail", "tie"]);
  const cell = (row, name) => numeric.has(name) ? row[at[name]] : data.texts[row[at[name]]];
  const byId = (id) => document.getElementById(id);
  const form = byId("filters"), list = byId("rows"), count = byId("count"), further = byId("further");
  const fieldName = (field) => data.words.fields[field] || field.replace(/_/g, " ");
  const causeName = (cause) => data.words.causes[cause] || cause;
  const ruleTitle = (rule) => (data.rules[rule] || {title: rule}).title;
  const gradeRank = (row) => data.grades.indexOf(cell(row, "grade"));
  const number = (value) => value.toLocaleString("en-US");
  let chosen = [], fitting = 0, drawn = 0;

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

  // With a ledger: what is new, and since when the rest stands.
  const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
  const dayOf = (night) => { const [year, month, day] = night.split("-").map(Number); return day + " " + MONTHS[month - 1] + " " + year; };
  const stateOf = (row) => cell(row, "state") === "new" || !cell(row, "state") ? cell(row, "state") : cell(row, "state") + " since " + dayOf(cell(row, "first_night"));
  const drawState = (row) => cell(row, "state") ? make("span", {class: "state" + (cell(row, "state") === "new" ? " new" : "")}, stateOf(row)) : null;
  const isWhole = (row) => (data.rules[cell(row, "rule")] || {}).whole === true;
  const sizeOf = (listing) => isWhole(listing[0]) ? listing.reduce((sum, row) => sum + cell(row, "stands_for"), 0) : 1;
  const apart = (listing) => listing.filter((row, place) => !listing.slice(0, place).some((other) => cell(other, "key") === cell(row, "key")));

  function drawCell(row) {
    const stated = cell(row, "stated"), derived = cell(row, "derived"), many = cell(row, "stands_for");
    const line = make("span", {class: "cell-line"}, make("b", null, isWhole(row) ? cell(row, "column") || fieldName(cell(row, "field")) : fieldName(cell(row, "field"))), " ", quoted(cut(stated, 60) || "(empty)", "stated"));
    if (derived) line.append(make("span", {class: "arrow"}, " should be "), quoted(cut(derived, 60), "derived"));
    else if (!isWhole(row)) line.append(make("span", {class: "arrow"}, " " + ruleTitle(cell(row, "rule"))));
    if (isWhole(row)) line.append(make("span", {class: "arrow"}, (cell(row, "likely_cause") === "column-shifted" && !cell(row, "column") ? ": " : " and the whole column: ") + number(many) + (many === 1 ? " listing" : " listings")));
    const state = drawState(row);
    if (state) line.append(" ", state);
    const as = decisions.get(cell(row, "key"));
    if (as) line.append(make("span", {class: "decided-as"}, as.decision));
    return line;
  }

  function drawLine(listing) {
    const row = listing[0], what = make("span", {class: "what"});
    listing.forEach((one, place) => { if (place) what.append(make("br")); what.append(drawCell(one)); });
    const grade = cell(row, "grade");
    const summary = make("summary", null,
      make("span", {class: "tag " + grade}, grade),
      make("span", {class: "mark"}, quoted(cut(cell(row, "marking"), 60) || "no marking")),
      what,
      make("span", {class: "who"}, quoted(cut(listingOf(row) || placeOf(row), 40), "sku"), " ", quoted(cut(cell(row, "supplier") || cell(row, "feed"), 60), "whose")));
    const slip = make("details", {class: "slip-line", id: "finding-" + cell(row, "key")}, summary);
    slip.addEventListener("toggle", () => {
      if (!slip.open) return;
      fillSlip(slip, listing);
      remember(slip.id, true);
    });
    return make("li", null, slip);
  }

  function fillSlip(slip, listing) {
    if (slip.querySelector(".inside")) return;
    const row = listing[0], inside = make("div", {class: "inside"});
    inside.append(drawMarking(cell(row, "marking")), drawStatements(listing));
    for (const one of apart(listing)) inside.append(drawFinding(one));
    const offers = data.ties[cell(row, "tie")] || [];
    if (offers.length) inside.append(make("ul", {class: "tied", "aria-label": "Offers that tie it to other listings"}, ...offers.map((place) => make("li", null, quoted(data.texts[place])))));
    const facts = make("dl", {class: "facts"});
    const fact = (name, value) => { if (value) facts.append(make("dt", null, name), make("dd", null, quoted(value))); };
    fact("Title", cell(row, "title"));
    fact("Listing", [cell(row, "sku") && "SKU " + cell(row, "sku"), cell(row, "part_number") && "part " + cell(row, "part_number"), cell(row, "gtin") && "GTIN " + cell(row, "gtin"), placeOf(row)].filter(Boolean).join(" · "));
    inside.append(facts);
    slip.append(inside);
  }

  // "Load index, Title agree with 615; only Maximum load (kg) differs."
  function witnesses(row) {
    const said = /(?:^|: |; )agree ([^;]+)/.exec(cell(row, "evidence")), not = /(?:^|: |; )differ ([^;]+)/.exec(cell(row, "evidence"));
    const names = (found) => found ? found[1].split(", ").filter((name) => !name.startsWith("also ")).map(fieldName) : [];
    const list = (all) => all.length > 1 ? all.slice(0, -1).join(", ") + " and " + all[all.length - 1] : all[0];
    const with_ = names(said), against = names(not), right = cell(row, "derived") || "the marking";
    if (with_.length && against.length) return "The marking and " + list(with_) + " agree" + (cell(row, "derived") ? " with " + right : "") + "; " + (against.length === 1 ? "only " + against[0] + " differs." : list(against) + " differ.");
    if (against.length) return list(against) + (against.length === 1 ? " differs" : " differ") + " from the marking; nothing else in the listing says which is right.";
    if (with_.length) return list(with_) + (with_.length === 1 ? " agrees" : " agree") + " with the marking.";
    return "";
  }

  function drawFinding(row) {
    const rule = data.rules[cell(row, "rule")], cause = cell(row, "likely_cause"), part = make("div", {class: "finding", id: "cell-" + cell(row, "key")});
    part.append(make("p", {class: "said"}, quoted(cell(row, "message"))));
    const why = witnesses(row);
    if (why) part.append(make("p", null, quoted(why)));
    const state = {new: "New tonight.", standing: "It stands", accepted: "It is accepted", asked: "It is asked about"}[cell(row, "state")];
    if (state) part.append(make("p", null, cell(row, "state") === "new" ? state : state + "; first seen in the night of " + dayOf(cell(row, "first_night")) + "."));
    const put = cell(row, "column") || fieldName(cell(row, "field"));
    part.append(make("p", null, (cause && cause !== "unclear" ? "Likely cause: " + causeName(cause) + ". " : "") + (cell(row, "suggestion") ? "Put " : "Nothing is certain here; the letter asks the supplier."), cell(row, "suggestion") ? quoted(cell(row, "suggestion"), "derived") : null, cell(row, "suggestion") ? " in " + put + "." : null));
    part.append(drawDecision(cell(row, "key"), {marking: cell(row, "marking"), stated: cell(row, "stated"), ...(cell(row, "state") ? {state: cell(row, "state"), first_night: cell(row, "first_night")} : {})}));
    const facts = make("dl", {class: "facts"});
    const fact = (name, value) => { if (value) facts.append(make("dt", null, name), make("dd", null, quoted(value))); };
    fact("Your header", cell(row, "column"));
    fact("Field", cell(row, "field"));
    fact("Evidence", cell(row, "evidence"));
    fact("Rule", cell(row, "rule") + (rule ? ": " + rule.why : ""));
    fact("Source", rule && rule.source);
    fact("Key", cell(row, "key"));
    part.append(make("details", {class: "it"}, make("summary", null, "For your IT"), facts));
    const say = make("span", {role: "status", class: "small"});
    const deed = (label, text) => {
      const button = make("button", {type: "button"}, label);
      button.addEventListener("click", async () => { say.textContent = await copy(text()) ? "Copied." : "This browser does not let pages copy; select the text instead."; });
      return button;
    };
    part.append(make("div", {class: "deeds"},
      deed("Copy as text", () => asText(row)),
      deed("Copy link", () => location.href.split("#")[0] + "#finding-" + cell(row, "key")),
      cell(row, "suggestion") ? deed("Copy suggestion", () => cell(row, "suggestion")) : null, say));
    return part;
  }

  // Accept, ask, wrong: with a reason, a name and an end; for a finding or a whole repeated mistake.
  function drawDecision(key, about) {
    const now = decisions.get(key) || {}, box = make("div", {class: "decide", role: "group", "aria-label": "Decision"});
    const field = (name, label, type) => {
      const input = make("input", {type, name, autocomplete: "off"});
      input.value = now[name] || "";
      input.addEventListener("change", store);
      return [make("label", null, label, input), input];
    };
    const parts = {note: field("note", "Because", "text"), by: field("by", "By", "text"), until: field("until", "Until", "date")};
    const buttons = decisions.WORDS.map((word) => {
      const button = make("button", {type: "button", "aria-pressed": String(now.decision === word), "data-decision": word}, word);
      button.addEventListener("click", () => {
        const on = button.getAttribute("aria-pressed") !== "true";
        for (const other of buttons) other.setAttribute("aria-pressed", "false");
        button.setAttribute("aria-pressed", String(on));
        store();
      });
      return button;
    });
    function store() {
      const pressed = buttons.find((button) => button.getAttribute("aria-pressed") === "true");
      decisions.put(key, {decision: pressed ? pressed.dataset.decision : "", ...Object.fromEntries(Object.entries(parts).map(([name, [, input]]) => [name, input.value.trim()])), ...about});
    }
    box.append(...buttons, ...Object.values(parts).map(([label]) => label));
    return box;
  }

  function drawMarking(marking) {
    if (!marking) return make("p", null, "The listing has no marking that can be read.");
    const parts = (data.parts[marking] || []).map((place) => data.named[place]);
    if (!parts.length) return make("ul", {class: "molded", "aria-label": "Marking"}, make("li", {style: "max-width:none"}, make("span", {class: "cut"}, quoted(marking))));
    return make("ul", {class: "molded", "aria-label": "The marking and its parts"}, ...parts.map(([text, name, meaning]) =>
      make("li", null, make("span", {class: "cut"}, text), name || meaning ? make("span", {class: "label"}, make("b", null, name), meaning) : null)));
  }

  function drawStatements(listing) {
    const row = listing[0], said = data.details[cell(row, "detail")];
    const lines = said ? said.map(([field, column, stated, derived, agrees]) => [data.texts[field], data.texts[column], data.texts[stated], data.texts[derived], agrees])
      : listing.map((one) => [cell(one, "field"), cell(one, "column"), cell(one, "stated"), cell(one, "derived"), 0]);
    // The finding itself may rest on more than this table compares, a text for instance.
    for (const one of listing) for (const line of lines) if (line[0] === cell(one, "field") && line[1] === cell(one, "column")) [line[3], line[4]] = [cell(one, "derived") || line[3], 0];
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
    add("State", stateOf(row));
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

  // What is chosen lives in the address: #finding-KEY&grade=critical, so that Back, reload and a link work.
  function remember(first, replace) {
    const parts = [first || "findings"];
    for (const field of form.elements) if (field.name && field.name !== "order" && (field.type === "checkbox" ? field.checked : field.value)) parts.push(field.name + "=" + encodeURIComponent(field.value));
    if (form.elements.order.value !== "worst") parts.push("order=" + form.elements.order.value);
    const hash = "#" + parts.join("&");
    if (hash === location.hash || (hash === "#findings" && !location.hash && !data.leads_with_new)) return;
    try { history[replace ? "replaceState" : "pushState"](null, "", hash); } catch { /* some viewers forbid it; the page works without */ }
  }
  function readAddress() {
    clear();
    if (!location.hash && data.leads_with_new) show("new");
    for (const part of location.hash.slice(1).split("&").slice(1)) {
      const [name, value] = part.split("=").map((text) => { try { return decodeURIComponent(text || ""); } catch { return ""; } });
      const field = form.elements[name];
      if (!field) continue;
      if (field.type === "checkbox") field.checked = value === field.value; else field.value = value;
    }
    choose();
  }

  const haystacks = new Array(data.rows.length), squeezed = new Array(data.rows.length);
  const searched = ["key", "rule", "field", "column", "supplier", "sku", "part_number", "gtin", "feed", "stated", "derived", "marking", "brand", "title", "suggestion", "message", "likely_cause", "grade", "state"];
  function haystack(place) {
    const row = data.rows[place];
    return haystacks[place] || (haystacks[place] = [...searched.map((name) => cell(row, name)), fieldName(cell(row, "field")), causeName(cell(row, "likely_cause")), ruleTitle(cell(row, "rule")), placeOf(row)].join("\n").toLowerCase());
  }
  // Sizes in any notation: 225/65R17, 225 65 17, 2256517; and identifiers whatever stands between their digits.
  const digits = (text) => text.replace(/[^0-9]/g, "");
  function squeeze(place) {
    const row = data.rows[place];
    return squeezed[place] || (squeezed[place] = [digits(cell(row, "size")), digits(cell(row, "gtin")), digits(cell(row, "sku")), digits(cell(row, "part_number"))]);
  }
  const sizeLike = (text) => digits(text).length >= 5 && /^[0-9\s\/.,xX*×rRzZlLtTpPsScC-]+$/.test(text);
  function finds(place, asked, words) {
    if (words.every((word) => haystack(place).includes(word))) return true;
    return sizeLike(asked) && squeeze(place).some((own, at) => at ? own.includes(digits(asked)) : own === digits(asked));
  }
  const groupOf = new Map(data.groups.map((group) => [group.key, group]));
  function inGroup(row, key) {
    const group = groupOf.get(key);
    if (!group) return false;
    if (group.folded) return cell(row, "key") === key;
    if (["supplier", "feed", "column", "field", "rule"].some((name) => cell(row, name) !== (group[name] || ""))) return false;
    if (group.stated && cell(row, "stated") !== group.stated) return false;
    if (group.factor !== null) return cell(row, "deviation") !== null && Math.abs((1 + cell(row, "deviation")) / group.factor - 1) < 0.012;
    return cell(row, "likely_cause") === group.cause;
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

  const spoken = {grade: (value) => value, supplier: (value) => value.slice(1) || "(not named)", rule: ruleTitle, field: fieldName, cause: causeName, state: (value) => value + " only", subject: (value) => value, off: (value) => "loads off by " + value + " to " + (Number(value) + 5) + " %", pair: (value) => "load index " + value.replace(">", " written as "), group: (value) => groupName(groupOf.get(value)), text: (value) => "“" + value + "”", held: () => "held only", unverified: () => "unverified only"};
  const groupName = (group) => group ? group.whose + ", " + group.where + ": " + group.slip : "";

  function choose() {
    const wanted = Object.fromEntries(new FormData(form));
    const words = wanted.text.toLowerCase().split(/\s+/).filter(Boolean);
    const fits = (row, place) =>
      (!wanted.grade || cell(row, "grade") === wanted.grade) &&
      (!wanted.supplier || cell(row, "supplier") === wanted.supplier.slice(1)) &&
      (!wanted.rule || cell(row, "rule") === wanted.rule) &&
      (!wanted.field || cell(row, "field") === wanted.field) &&
      (!wanted.cause || cell(row, "likely_cause") === wanted.cause) &&
      (!wanted.group || inGroup(row, wanted.group)) &&
      (!wanted.subject || (data.rules[cell(row, "rule")] || {}).subject === wanted.subject) &&
      (!wanted.off || isOffBy(row, Number(wanted.off))) &&
      (!wanted.pair || ((data.rules[cell(row, "rule")] || {}).indices && cell(row, "derived") + ">" + cell(row, "stated") === wanted.pair)) &&
      (!wanted.held || (data.held.includes(cell(row, "grade")) && cell(row, "state") !== "accepted")) &&
      (!wanted.unverified || (data.rules[cell(row, "rule")] || {}).unverified) &&
      (!words.length || finds(place, wanted.text, words));
    const isShown = (row) => !wanted.state || cell(row, "state") === wanted.state;
    const all = data.rows.filter(fits), rows = all.filter(isShown);
    if (orders[wanted.order]) rows.sort(orders[wanted.order]);
    const listings = new Map();
    for (const row of rows) {
      const place = row[at.feed] + " " + row[at.sheet] + " " + row[at.record];
      if (isWhole(row)) {
        const whole = place + " " + cell(row, "key");
        if (listings.has(whole)) listings.get(whole).push(row); else listings.set(whole, [row]);
      } else if (listings.has(place)) listings.get(place).push(row); else listings.set(place, [row]);
    }
    chosen = [...listings.values()];
    fitting = rows.reduce((sum, row) => sum + cell(row, "stands_for"), 0);
    drawn = 0;
    list.replaceChildren();
    for (const button of document.querySelectorAll("button[data-show]")) button.setAttribute("aria-pressed", String(button.dataset.show === (wanted.state || "")));
    say(wanted);
    // Who asks after one tire wants to know of all its findings, however old.
    if (wanted.state && all.length > rows.length) {
      const others = all.filter((row) => !isShown(row)).reduce((sum, row) => sum + cell(row, "stands_for"), 0);
      const every = make("button", {type: "button", class: "every"}, "Show them too");
      every.addEventListener("click", () => { form.elements.state.value = ""; choose(); remember(); });
      byId("chosen").append(" " + number(others) + " more in other states. ", every);
    }
    drawMore(STEP);
  }

  // How many fit, of how many there are in all, and which file has them all.
  function say(wanted) {
    const active = Object.entries(wanted).filter(([name, value]) => value && name !== "order" && name in spoken);
    const said = byId("chosen");
    said.replaceChildren();
    if (active.length) said.append("Chosen: ", quoted(active.map(([name, value]) => spoken[name](value)).join(" · ")));
    const [name, value] = active.length === 1 ? active[0] : [];
    const all = name && data.totals[name] ? data.totals[name][name === "supplier" ? value.slice(1) : value] : active.length ? undefined : data.found;
    totals = all;
    const supplier = name === "supplier" ? value.slice(1) : name === "group" ? (groupOf.get(value) || {}).supplier : undefined;
    if (all > fitting || name === "group") {
      const stem = supplier === undefined ? undefined : data.letters[supplier];
      said.append(" All of them: ", stem ? make("a", {href: "corrections/" + encodeURIComponent(stem) + ".csv"}, "the supplier's file") : make("a", {href: "findings.csv"}, "findings.csv"), ".");
    }
    if (name === "group" && groupOf.get(value)) said.append(drawDecision(value, {group: true}));
  }
  let totals;
  const listed = data.rows.reduce((sum, row) => sum + cell(row, "stands_for"), 0);

  function drawMore(step) {
    const upto = Math.min(chosen.length, drawn + step);
    list.append(...chosen.slice(drawn, upto).map(drawLine));
    drawn = upto;
    const left = chosen.length - drawn;
    further.hidden = left === 0;
    byId("show-more").textContent = "Show " + number(Math.min(STEP, left)) + " more";
    const many = (count, word) => number(count) + " " + word + (count === 1 ? "" : "s");
    const fit = many(fitting, "finding") + " in " + many(chosen.reduce((sum, listing) => sum + sizeOf(listing), 0), "listing") + (totals > fitting ? " listed here of " + number(totals) + " findings" : " listed");
    count.textContent = chosen.length ? fit + (left ? "; the first " + number(drawn) + " lines are shown" : "") : totals ? "None of these " + number(totals) + " is listed on this page." : listed < data.found ? "None of the " + number(listed) + " findings listed here fits; findings.csv has all " + number(data.found) + "." : "No finding fits. Clear a filter.";
  }

  // The step of the picture of loads that a finding stands in; what lies beyond counts in the outermost ones.
  function isOffBy(row, percent) {
    const off = cell(row, "deviation"), first = data.steps[0] / 100;
    if (off === null || !(data.rules[cell(row, "rule")] || {}).loads) return false;
    return data.steps[Math.min(Math.max(Math.floor((off - first) / 0.05), 0), data.steps.length - 1)] === percent;
  }

  // New or all: the list below, and what stands since earlier nights on the first screen.
  function show(state) {
    form.elements.state.value = state;
    document.body.classList.toggle("only-new", state === "new");
    for (const details of document.querySelectorAll("details.standing")) details.open = state !== "new";
  }

  function options(name, label, mark) {
    const counts = new Map();
    for (const row of data.rows) counts.set(cell(row, name), (counts.get(cell(row, name)) || 0) + 1);
    const values = [...counts.keys()].sort((a, b) => collator.compare(label(a), label(b)));
    for (const value of values) form.elements[name].append(make("option", {value: mark + value}, cut(label(value), 50)));
  }

  function clear() {
    for (const field of form.elements) {
      if (field.type === "checkbox") field.checked = false;
      else if (field.name) field.value = field.name === "order" ? "worst" : "";
    }
  }

  function openLinked() {
    const match = /^#finding-([^&]+)/.exec(location.hash);
    if (!match) return;
    const key = decodeURIComponent(match[1]);
    const holds = (listing) => listing.some((row) => cell(row, "key") === key);
    if (!chosen.some(holds)) { clear(); choose(); }
    const place = chosen.findIndex(holds);
    if (place < 0) {
      count.textContent = "The finding " + cut(key, 40) + " is not listed on this page; look for its key in findings.csv.";
      byId("findings").scrollIntoView();
      return;
    }
    if (place >= drawn) drawMore(place + 1 - drawn);
    const slip = list.children[place].firstElementChild;
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
      if (field.type === "checkbox") field.checked = true; else field.value = (link.dataset.pick === "supplier" ? "=" : "") + link.dataset.value;
      const [name, value] = (link.dataset.and || "").split("=");
      if (name && form.elements[name]) form.elements[name].value = value;
      choose();
      remember();
      byId("findings").scrollIntoView();
      byId("findings").focus({preventScroll: true});
    } else if (link.hash && link.hash === location.hash && link.hash.startsWith("#finding-")) {
      event.preventDefault();
      openLinked();
    }
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", (event) => { event.preventDefault(); clear(); choose(); remember(); form.elements.text.focus(); });
  let waiting = 0;
  form.addEventListener("input", (event) => { clearTimeout(waiting); waiting = setTimeout(() => { choose(); remember(null, event.target.name === "text"); }, 120); });
  byId("show-more").addEventListener("click", () => {
    const first = drawn;
    drawMore(STEP);
    const next = list.children[first];
    if (next) next.querySelector("summary").focus();
  });
  for (const button of document.querySelectorAll("button[data-show]")) {
    button.parentElement.hidden = false;
    button.addEventListener("click", () => { show(button.dataset.show); choose(); remember(); });
  }
  for (const button of document.querySelectorAll("button.unfold")) button.addEventListener("click", () => {
    const more = byId(button.getAttribute("aria-controls"));
    more.hidden = false;
    button.parentElement.hidden = true;
    more.querySelector("a, th").focus();
  });
  const follow = () => { if (location.hash === "" || /^#(findings|finding-)/.test(location.hash)) { readAddress(); openLinked(); } };
  window.addEventListener("popstate", follow);
  decisions.onChange(() => {
    byId("decided").hidden = decisions.count() === 0;
    byId("decided-count").textContent = number(decisions.count()) + (decisions.count() === 1 ? " decision" : " decisions") + (decisions.unsaved() ? ", not saved yet" : ", saved");
  });
  byId("save-decisions").addEventListener("click", () => decisions.save(data.night));
  window.addEventListener("beforeprint", () => {
    if (drawn < PRINTED) drawMore(PRINTED - drawn);
  });

  options("supplier", (name) => name || "(not named)", "=");
  options("rule", ruleTitle, "");
  options("field", fieldName, "");
  form.elements.cause.append(...Object.keys(data.totals.cause).sort().map((value) => make("option", {value}, causeName(value))));
  form.elements.group.append(...data.groups.map((group) => make("option", {value: group.key}, cut(groupName(group), 70))));
  form.hidden = false;
  readAddress();
  // After the browser's own jump to the fragment, which would take the focus away again.
  window.addEventListener("load", () => setTimeout(openLinked));
})();
