// What is wrong with a brush: ticks and readings, causes run one at a time beside the page, the answer as it grows.
const fault = { open: false, ticks: new Map(), readings: new Map(), checked: [], set: null, running: false, progress: null, answer: null, asked: 0 };
const TICKS = ["", "seen", "fine"], ASK_EVERY = 12;

const same_set = (a, b) => JSON.stringify(a) === JSON.stringify(b);
const fault_question = (what) => ({
  do: what, set: fault.set, ...how(),
  seen: [...fault.ticks].filter(([, tick]) => tick === "seen").map(([key]) => key),
  fine: [...fault.ticks].filter(([, tick]) => tick === "fine").map(([key]) => key),
  readings: [...fault.readings].map(([key, text]) => `${key}=${text}`),
  checked: fault.checked,
});

// Ticks: each turns from not said to seen to fine.
const tick_shown = (button, words_of, side, key) => {
  const tick = fault.ticks.get(key) ?? "", told = tick ? say(tick) : say("not_said");
  button.textContent = `${side ? `${side}: ` : ""}${tick === "seen" ? "✓ " : tick === "fine" ? "○ " : ""}${told}`;
  button.className = tick ? `tick ${tick}` : "tick";
  button.setAttribute("aria-label", `${words_of}${side ? `, ${side}` : ""}: ${told}`);
};
const tick_row = (sign, count) => {
  const row = make("div", null, { class: "tick-row" }), cells = make("div", null, { class: "tick-cells" });
  row.append(make("p", sign.words), cells);
  for (const [key, side] of sign.at) {
    const button = act("", () => {
      const tick = TICKS[(TICKS.indexOf(fault.ticks.get(key) ?? "") + 1) % TICKS.length];
      if (tick) fault.ticks.set(key, tick); else fault.ticks.delete(key);
      tick_shown(button, sign.words, side, key);
      count();
      fault_told();
    }, { "data-sign": key });
    tick_shown(button, sign.words, side, key);
    cells.append(button);
  }
  return row;
};
const tick_group = (group) => {
  const box = make("details", null, { class: "ticks" }), head = make("summary", group.title), told = make("span", "", { class: "count" });
  const count = () => { const ticked = group.signs.flatMap((sign) => sign.at).filter(([key]) => fault.ticks.has(key)).length; told.textContent = ticked ? ` (${ticked})` : ""; };
  head.append(told);
  box.append(head, ...group.signs.map((sign) => tick_row(sign, count)));
  count();
  return box;
};
const reading_row = (reading, at) => {
  const row = make("div", null, { class: "tick-row" }), cells = make("div", null, { class: "tick-cells" });
  row.append(make("p", reading.words), make("p", say("reading_hint", reading.example), { class: "small" }), cells);
  for (const [key, side] of reading.at) {
    const id = `reading-${at}-${key.replace(":", "-")}`, label = make("label", side || say("value"), { for: id }), told = make("p", "", { class: "small told" });
    const input = make("input", null, { type: "text", id, autocomplete: "off", autocapitalize: "off", spellcheck: "false", "data-reading": key });
    input.value = fault.readings.get(key) ?? "";
    input.onchange = () => {
      const text = input.value.trim();
      fault.readings.delete(key);
      told.className = "small told"; told.textContent = "";
      if (text) {
        try { told.textContent = `= ${ask({ do: "fault_reading", value: `${key}=${text}`, ...how() })}`; fault.readings.set(key, text); }
        catch (error) { told.textContent = error.message; told.className = "small told refused"; }
      }
      fault_told();
    };
    const box = make("div", null, { class: "reading" });
    box.append(label, input, told);
    cells.append(box);
  }
  return row;
};
const fault_list = () => {
  const list = ask({ do: "fault_list", ...how() }), readings = make("details", null, { class: "ticks" });
  readings.append(make("summary", say("readings")), ...list.readings.map(reading_row));
  const open = [...$("fault-ticks").children].map((box) => box.open);
  $("fault-ticks").replaceChildren(...list.groups.map(tick_group), readings);
  [...$("fault-ticks").children].forEach((box, i) => { box.open = open[i] ?? i === 0; });
};

// Running the causes.
const fault_status = () => {
  const { progress, running } = fault, stale = fault.set !== null && !same_set(fault.set, state.set);
  show("fault-bar", progress !== null);
  if (progress) {
    $("fault-bar").max = progress.of; $("fault-bar").value = progress.done;
    $("fault-status").textContent = stale ? say("fault_changed") : say("fault_runs", progress.causes, progress.causes_of, progress.done, progress.of);
    $("fault-bar").setAttribute("aria-label", $("fault-status").textContent);
  } else $("fault-status").textContent = "";
  const whole_now = progress?.whole && !stale;
  show("fault-run", !running && !whole_now); show("fault-stop", running);
  $("fault-run").textContent = say(progress && !stale ? "fault_go_on" : "fault_run");
};
const fault_refresh = async () => {
  if (fault.progress === null) return;
  const mine = ++fault.asked;
  try {
    const answer = await aside.ask(fault_question("fault"));
    if (mine !== fault.asked) return;
    fault.answer = answer;
    fault_answer();
  } catch (error) { if (mine === fault.asked) tell(`${say("refused")}\n${error.message}`); }
};
const fault_told = () => { fault_refresh(); };
const fault_run = async () => {
  if (fault.running) return;
  if (fault.set === null || !same_set(fault.set, state.set)) { fault.set = state.set; fault.progress = null; fault.checked = []; }
  fault.running = true;
  if (typeof Worker !== "function") tell(say("aside_none"));
  try {
    while (fault.running) {
      fault.progress = await aside.ask({ do: "fault_step", set: fault.set });
      fault_status();
      if (fault.progress.whole) break;
      if (fault.progress.done % ASK_EVERY === 0) await fault_refresh();
    }
  } catch (error) {
    fault.progress = null; fault.answer = null;
    tell(error instanceof Died ? say("died", error.message) : `${say("refused")}\n${error.message}`);
  }
  fault.running = false;
  fault_status();
  await fault_refresh();
};

// The answer.
const para = (text, more) => make("p", text, more);
const check_box = (check, lead) => {
  const box = make("div", null, { class: lead ? "check next" : "check" });
  if (lead) box.append(make("h3", lead));
  box.append(para(check.how, { class: "what" }), para(check.takes, { class: "small" }), para(`⚠ ${check.caution}`, { class: "caution" }));
  if (fault.answer.progress.whole) {
    const showed = make("details", null), buttons = make("div", null, { class: "buttons" });
    showed.append(make("summary", say("check_showed")), buttons);
    for (const [key, text] of check.shows) buttons.append(act(text, () => { fault.checked = [...fault.checked, key]; fault_refresh(); }, { "data-check": key }));
    box.append(showed);
  }
  return box;
};
const cause_box = (cause) => {
  const box = make("div", null, { class: "cause" }), name = make("h4", cause.name);
  name.append(", ", make("span", cause.share, { class: "share" }));
  box.append(name, ...cause.said.map((text) => para(text)));
  if (cause.behind.length > 0) {
    const more = make("details", null), list = make("ul", null);
    for (const one of cause.behind) {
      const item = make("li", null);
      item.append(para(one.what, { class: "what" }));
      for (const [key, text] of [["check", one.check], ["if_so", one.finding], ["then", one.repair]]) item.append(para(`${say(key)}: ${text}.`));
      list.append(item);
    }
    more.append(make("summary", say("behind")), list);
    box.append(more);
  }
  return box;
};
const fault_answer = () => {
  const { answer } = fault, { progress } = answer, parts = [];
  parts.push(para(progress.whole ? say("fault_whole", progress.causes_of) : say("fault_so_far", progress.causes, progress.causes_of, progress.done, progress.of), { class: progress.whole ? "small" : "so-far", id: "fault-how-far" }));
  parts.push(para(answer.headline, { class: "headline", id: "fault-headline" }));
  if (answer.checks.length > 0) parts.push(check_box(answer.checks[0], say("next_check")));
  if (answer.checked.length > 0) {
    const made = make("ul", null, { class: "made" });
    answer.checked.forEach(([, text], i) => {
      const item = make("li", null);
      item.append(make("span", text), act(say("check_again"), () => { fault.checked = fault.checked.filter((_, k) => k !== i); fault_refresh(); }, { "aria-label": `${say("check_again")}: ${text}` }));
      made.append(item);
    });
    parts.push(make("h3", say("checked")), made);
  }
  if (answer.rows.length > 0) parts.push(make("h3", say("causes")));
  answer.rows.forEach((row, i) => {
    const box = make("div", null, { class: "causes" });
    if (row.lead) box.append(para(`${i + 1}. ${row.lead}`, { class: "what" }));
    box.append(...row.causes.map(cause_box));
    if (!row.lead) box.querySelector("h4").prepend(`${i + 1}. `);
    parts.push(box);
  });
  if (answer.rest) parts.push(para(`${answer.rest}.`, { class: "small" }));
  if (answer.pairs.length > 0) {
    const list = make("ul", null);
    list.append(...answer.pairs.map((text) => make("li", text)));
    parts.push(make("h3", say("two_causes")), list);
  }
  if (answer.checks.length > 1) {
    const more = make("details", null);
    more.append(make("summary", say("other_checks")), ...answer.checks.slice(1).map((check) => check_box(check, "")));
    parts.push(more);
  }
  parts.push(...answer.cautions.map((text) => para(say("mind", text), { class: "caution" })), para(say("belief_note"), { class: "small" }));
  $("fault-answer").replaceChildren(...parts);
};

// The section is made ready to be opened; nothing of it is built before.
when_ready.push(() => {
  show("fault", true);
  $("fault-open").onclick = () => {
    fault.open = true;
    show("fault-open", false); show("fault-inner", true);
    attempt(fault_list);
    fault_status();
  };
  $("fault-run").onclick = fault_run;
  $("fault-stop").onclick = () => { fault.running = false; };
  $("fault-clear").onclick = () => { fault.ticks.clear(); fault.readings.clear(); fault.checked = []; attempt(fault_list); fault_refresh(); };
});
when_said.push(() => { if (fault.open) { fault_list(); fault_status(); fault_refresh(); } });
