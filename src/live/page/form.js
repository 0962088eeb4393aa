// Measurements at the machine: a card for each test, every reading checked as it comes, kept on the device, taken along as a file.
const form = { cards: null, of: "", values: {}, more: {}, instruments: {}, title: "", note: "", told: new Map(), asked: new Map() };

// What is kept stands under the scenario's text, so that readings of one machine do not come up in another's page.
const kept_as = () => {
  let sum = 0x811c9dc5;
  for (const letter of record.text) sum = Math.imul(sum ^ letter.codePointAt(0), 0x01000193) >>> 0;
  return `brusharm ${record.name} ${sum.toString(16)}`;
};
const keep = () => {
  const { of, values, more, instruments, title, note } = form;
  try {
    localStorage.setItem(kept_as(), JSON.stringify({ of, values, more, instruments, title, note }));
    $("form-kept").textContent = say("form_kept");
    $("form-kept").className = "small";
  } catch (error) {
    $("form-kept").textContent = say("form_not_kept", String(error.message));
    $("form-kept").className = "small refused";
  }
};
const found_again = () => {
  try {
    const kept = JSON.parse(localStorage.getItem(kept_as()) ?? "null");
    if (kept && typeof kept === "object") for (const key of ["of", "values", "more", "instruments", "title", "note"]) if (typeof kept[key] === typeof form[key]) form[key] = kept[key];
  } catch { /* What cannot be read was not kept; the first reading says so. */ }
};

// A value with its unit: a unit that was typed stands.
const place_of = (card, at, field) => `${card.key}|${at}|${field.name}`;
const with_unit = (cell) => {
  const text = (cell?.text ?? "").trim();
  return text === "" || !cell.unit || /[a-zA-Z%°"'µμ]/.test(text) ? text : `${text} ${cell.unit}`;
};
const before = (field) => {
  const unit = field.units.find((unit) => field.given.endsWith(` ${unit}`));
  return unit ? { text: field.given.slice(0, -unit.length - 1), unit } : { text: field.given, unit: field.units[0] ?? "" };
};
const cells_of = (card, at, field) => {
  const place = place_of(card, at, field), count = field.count + (form.more[place] ?? 0);
  const known = Array.isArray(form.values[place]) ? form.values[place] : [];
  return Array.from({ length: count }, (_, i) => (typeof known[i]?.text === "string" ? known[i] : before(field)));
};
const given_of = (card, at) => Object.fromEntries(card.entries[at].fields.map((field) => [field.name, cells_of(card, at, field).map(with_unit)]));
const reading_of = (card, at) => ({ test: card.key, at, given: given_of(card, at) });
const is_read = (card, at) => card.entries[at].fields.some((field) => !field.given && cells_of(card, at, field).some((cell) => with_unit(cell)));
const form_given = (readings) => ({
  of: form.of, order: record.form, title: form.title, note: form.note, readings,
  instruments: Object.entries(form.instruments).map(([kind, said]) => ({ kind, resolution: said.resolution ?? "", shared: said.shared ?? "" })),
});

// Each reading is checked beside the page, the newest wish of each.
const check_entry = async (card, at) => {
  const box = $(`entry-${card.key.replaceAll(" ", "-")}-${at}`), mine = (form.asked.get(box.id) ?? 0) + 1;
  form.asked.set(box.id, mine);
  counted();
  const told = box.querySelector(".refused-text");
  const clear = () => { for (const one of box.querySelectorAll(".told")) { one.textContent = ""; one.className = "small told"; } told.textContent = ""; told.hidden = true; };
  if (!is_read(card, at)) { clear(); box.setAttribute("aria-busy", "false"); return; }
  box.setAttribute("aria-busy", "true");
  try {
    const list = await aside.ask({ do: "form_beside", set: state.set, ...how(), form: form_given([reading_of(card, at)]) });
    if (form.asked.get(box.id) !== mine) return;
    clear();
    for (const one of list) {
      // Blanks between are no values.
      const filled = [...box.querySelectorAll(`[data-field="${one.field}"]`)].filter((value) => value.querySelector("input").value.trim() !== "");
      const place = (filled[one.place] ?? filled[0])?.querySelector(".told");
      if (!place) continue;
      place.textContent = one.said;
      place.className = one.far ? "small told far" : "small told";
    }
  } catch (error) {
    if (form.asked.get(box.id) !== mine) return;
    clear();
    told.textContent = error instanceof Died ? say("died", error.message) : error.message;
    told.hidden = false;
  }
  box.setAttribute("aria-busy", "false");
};
const counted = () => {
  let values = 0, minutes = 0;
  for (const card of form.cards) {
    const read = card.entries.flatMap((entry, at) => entry.fields.filter((field) => !field.given).flatMap((field) => cells_of(card, at, field))).filter((cell) => with_unit(cell)).length;
    if (read > 0) { values += read; minutes += card.minutes; }
  }
  $("form-count").textContent = say("form_count", values, minutes);
  $("form-save").disabled = values === 0;
};

const value_box = (card, at, field, i) => {
  const place = place_of(card, at, field), id = `value-${place.replaceAll(/[| ]/g, "-")}-${i}`, cell = cells_of(card, at, field)[i];
  const box = make("div", null, { class: "value-box", "data-field": field.name });
  const label = make("label", field.places.length ? `${field.label} ${field.places[i]}` : field.label, { for: id }), line = make("div", null, { class: "value-line" });
  const input = make("input", null, { type: "text", id, autocomplete: "off", autocapitalize: "off", spellcheck: "false" });
  input.value = cell.text;
  const set = (text, unit) => {
    const cells = cells_of(card, at, field);
    cells[i] = { text, unit };
    form.values[place] = cells;
    keep();
    check_entry(card, at);
  };
  line.append(input);
  let unit = null;
  if (field.units.length > 1) {
    unit = make("select", null, { "aria-label": `${label.textContent}: ${say("unit")}` });
    for (const one of field.units) unit.append(make("option", one, { value: one }));
    unit.value = cell.unit;
    unit.onchange = () => set(input.value, unit.value);
    line.append(unit);
  }
  input.onchange = () => set(input.value, unit ? unit.value : cell.unit);
  box.append(label, line, make("p", "", { class: "small told" }));
  return box;
};
// Where a stopwatch or a film can give it.
const helpers = (card, at, again) => {
  const { fields } = card.entries[at], list = [];
  const time = fields.find((field) => field.is_time && field.repeats), marks = fields.find((field) => field.places.length > 0);
  const put = (field, texts, unit) => {
    const place = place_of(card, at, field);
    let cells = cells_of(card, at, field);
    for (const text of texts) {
      let i = cells.findIndex((cell) => cell.text.trim() === "");
      if (i < 0) { if (!field.repeats) return; form.more[place] = (form.more[place] ?? 0) + 1; cells = [...cells, before(field)]; i = cells.length - 1; }
      cells[i] = { text, unit };
    }
    form.values[place] = cells;
    keep(); again(); check_entry(card, at);
  };
  if (time) list.push(act(say("watch"), () => stopwatch((text) => put(time, [text], "s")), { "data-watch": card.key }));
  if (time) list.push(act(say("film"), () => film(30, 1, (frames, rate) => put(time, frames.map((frame) => (frame / rate).toFixed(3)), "s")), { "data-film": card.key }));
  if (marks) {
    const rate = fields.find((field) => field.name === "frames_per_second");
    const now = () => Number(cells_of(card, at, rate)[0].text) || 30;
    list.push(act(say("film"), () => film(now(), marks.count, (frames, per_second) => {
      form.values[place_of(card, at, rate)] = [{ text: String(per_second), unit: "" }];
      form.values[place_of(card, at, marks)] = [];
      put(marks, frames.map(String), "");
    }), { "data-film": card.key }));
  }
  return list;
};
const entry_box = (card, at) => {
  const entry = card.entries[at], box = make("div", null, { class: "entry", id: `entry-${card.key.replaceAll(" ", "-")}-${at}`, role: "group", "aria-label": `${card.name} ${entry.label}` });
  const build = () => {
    const buttons = make("div", null, { class: "buttons" });
    box.replaceChildren();
    if (entry.label) box.append(make("p", entry.label, { class: "what" }));
    for (const field of entry.fields) {
      box.append(...cells_of(card, at, field).map((_, i) => value_box(card, at, field, i)));
      if (field.repeats) buttons.append(act(`+ ${say("form_more", field.label)}`, () => {
        const place = place_of(card, at, field);
        form.more[place] = (form.more[place] ?? 0) + 1;
        build();
        check_entry(card, at);
      }));
    }
    buttons.prepend(...helpers(card, at, build));
    box.append(make("pre", "", { class: "refused-text", hidden: "" }), buttons);
  };
  build();
  return box;
};
const card_box = (card, i) => {
  const box = make("details", null, { class: "card", "data-card": card.key }), head = make("summary", null), name = make("span", `${i + 1}. ${card.name}`);
  head.append(name, make("span", say("minutes", card.minutes), { class: "count" }));
  const body = make("div", null);
  // A card is filled when it is opened first.
  const fill = () => { if (body.children.length === 0) body.append(make("p", `⚠ ${card.risk}`, { class: card.moves ? "caution moves" : "caution" }), make("p", card.how), ...card.entries.map((_, at) => entry_box(card, at))); };
  box.ontoggle = () => {
    if (!box.open) return;
    const first = body.children.length === 0;
    fill();
    if (first) card.entries.forEach((_, at) => check_entry(card, at));
  };
  box.append(head, body);
  return box;
};
const instrument_row = (one) => {
  const row = make("div", null, { class: "tick-row" }), cells = make("div", null, { class: "tick-cells" }), said = () => (form.instruments[one.kind] ??= {});
  row.append(make("p", one.label), cells);
  for (const [key, label, example] of [["resolution", "form_resolution", one.resolution], ["shared", "form_shared", one.shared]]) {
    if (!example) continue;
    const id = `instrument-${one.kind}-${key}`, input = make("input", null, { type: "text", id, autocomplete: "off", autocapitalize: "off", spellcheck: "false", placeholder: example });
    input.value = form.instruments[one.kind]?.[key] ?? "";
    input.onchange = () => { said()[key] = input.value.trim(); keep(); check_all(); };
    const box = make("div", null, { class: "reading" });
    box.append(make("label", say(label), { for: id }), input);
    cells.append(box);
  }
  return row;
};
const check_all = () => { for (const card of form.cards) card.entries.forEach((_, at) => { if ($(`entry-${card.key.replaceAll(" ", "-")}-${at}`)) check_entry(card, at); }); };
const form_build = async () => {
  let said = null;
  try { said = await aside.ask({ do: "form", set: state.set, ...how(), form: form_given([]) }); } catch (error) { tell(`${say("refused")}\n${error.message}`); return; }
  const open = new Set([...document.querySelectorAll("details.card[open]")].map((box) => box.dataset.card));
  form.cards = said.cards; form.of = said.of;
  $("form-cautions").replaceChildren(...said.said.map((text) => make("p", text)));
  const list = $("form-of");
  list.replaceChildren(...said.ofs.map(([value, text]) => make("option", text, { value })));
  list.value = said.of;
  const instruments = make("details", null, { class: "ticks" });
  instruments.append(make("summary", say("instruments")), make("p", say("instruments_hint"), { class: "small" }), ...said.instruments.map(instrument_row));
  $("form-instruments").replaceChildren(instruments);
  $("form-cards").replaceChildren(...said.cards.map(card_box));
  for (const box of document.querySelectorAll("details.card")) box.open = open.has(box.dataset.card);
  counted();
  $("form").setAttribute("aria-busy", "false");
};
const measurements = async () => {
  const readings = form.cards.flatMap((card) => card.entries.map((_, at) => at).filter((at) => is_read(card, at)).map((at) => reading_of(card, at)));
  try {
    const text = await aside.ask({ do: "form_file", set: state.set, ...how(), form: form_given(readings) }), made = file_of(text, `${stem()}-readings.ron`, "text/plain");
    $("form-share").onclick = () => navigator.share({ files: [made.file], title: made.name }).catch(() => {});
    show("form-share", can_share(made.file));
    show("alert", false);
    save(made);
  } catch (error) { tell(`${say("refused")}\n${error.message}`); }
};

when_ready.push(() => {
  found_again();
  $("form-of").onchange = () => { form.of = $("form-of").value; keep(); form_build(); };
  for (const key of ["title", "note"]) {
    $(`form-${key}`).value = form[key];
    $(`form-${key}`).onchange = () => { form[key] = $(`form-${key}`).value; keep(); };
  }
  $("form-save").onclick = measurements;
  let sure = 0;
  $("form-forget").onclick = () => {
    // Twice within a few seconds: readings are hard to come by.
    if (performance.now() - sure > 4000) { sure = performance.now(); $("form-forget").textContent = say("form_forget_sure"); return; }
    Object.assign(form, { values: {}, more: {}, instruments: {}, title: "", note: "" });
    for (const key of ["title", "note"]) $(`form-${key}`).value = "";
    $("form-forget").textContent = say("form_forget");
    keep(); form_build();
  };
  form_build();
});
when_said.push(() => { if (form.cards) form_build(); });
