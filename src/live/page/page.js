// The page with the engine in it. Nothing is asked of any network. The set-up is a list of changes from the file; the engine answers what it does.
let playing = null, walking = 0, shown_t = null, due = 0;
state.step = record.lesson ? 0 : null;
const MOTION = matchMedia("(prefers-reduced-motion: reduce)"), DARK = matchMedia("(prefers-color-scheme: dark)");

const width = () => Math.max(280, Math.round($("plan-part").hidden ? Math.min(document.documentElement.clientWidth, 1180) - 32 : $("plan").clientWidth));
const how = () => ({ step: state.step, units: state.units, lang: state.lang, dark: state.dark, width: width() });
const whole = (question) => ({ ...question, set: state.set, pinned: state.pinned, pinned_as: state.pinned_as, t_s: state.t, ...how() });

const take = (answered) => {
  shown = answered;
  state.set = shown.set;
  good = { set: state.set, pinned: state.pinned };
  stop_walk();
  const { now, beside } = shown;
  $("vehicle").textContent = shown.vehicle;
  $("sign").textContent = now.sign; $("word").textContent = now.word;
  $("stamp").className = `stamp is-${now.verdict}`;
  show("stamp", now.verdict !== "");
  $("gap").textContent = now.gap;
  const changed = state.set.length > 0 || state.pinned !== null;
  $("gap-was").textContent = changed ? (state.pinned ? say("was_a", state.pinned_as, `${beside.sign} ${beside.gap}`) : say("was", `${beside.sign} ${beside.gap}`)) : "";
  $("said").textContent = now.said;
  rows(); changes();
  if (fault.open) fault_status();
  for (const id of ["verdict", "turn", "changes", "take", "plan-part", "map-part", "limits-part"]) show(id, true);
  show("loading", false);
  show("pin", state.pinned === null); show("unpin", state.pinned !== null); show("dashed", state.pinned !== null);
  $("beside-name").textContent = state.pinned ? state.pinned_as : say("opened");
  picture();
};
// Pictures and long lists follow when the verdict is on the screen.
const picture = () => {
  const mine = ++due;
  $("plan").setAttribute("aria-busy", "true");
  requestAnimationFrame(() => setTimeout(() => {
    if (mine !== due) return;
    attempt(() => {
      const drawn_now = ask(whole({ do: "pictures" }));
      lines(); events();
      // A wide plan in English has its own legend.
      show("key", width() < 620 || state.lang !== "en");
      frame(drawn_now.frame);
      $("map").innerHTML = drawn_now.map;
      $("plan").setAttribute("aria-busy", "false");
    });
  }));
};

// What changed.
const changes = () => {
  show("nothing", shown.changed.length === 0);
  $("changed").replaceChildren(...shown.changed.map((one) => {
    const line = make("li", null), text = make("span", `${one.label}${one.side ? `, ${one.side}` : ""}: `);
    text.append(make("b", `${one.from} → ${one.to}`));
    const back = make("button", say("undo"), { type: "button", "aria-label": `${say("undo")}: ${one.label}${one.side ? `, ${one.side}` : ""}` });
    back.onclick = () => attempt(() => {
      show("alert", false);
      const set = state.set.filter(([path]) => path !== one.path);
      take(ask({ ...whole({ do: "show" }), set }));
    });
    line.append(text, back);
    return line;
  }));
};
const lines = () => {
  const judged = (kind, one) => {
    const box = make("td", null, { class: kind });
    if (one) box.append(make("span", one.value, { class: "value" }), make("span", `${one.sign} ${one.word}`, { class: `grade is-${one.verdict}` }));
    return box;
  };
  $("lines").replaceChildren(...shown.lines.map((line) => {
    const row = make("tr", null, { class: line.differs ? "differs" : null }), name = make("th", line.label, { scope: "row" });
    name.append(make("small", line.limit));
    row.append(name, judged("beside-value", line.beside), judged("now-value", line.now));
    return row;
  }));
};

// The pass.
const SPAN = 1000;
const frame = (at) => {
  $("plan").innerHTML = at.plan;
  shown_t = at.t_s;
  $("clock").textContent = at.at;
  const share = (at.t_s - shown.start_s) / (shown.end_s - shown.start_s);
  $("scrub").value = String(Math.round(SPAN * share));
  $("scrub").setAttribute("aria-valuetext", at.at);
  $("why").replaceChildren(...at.why.map((text) => make("p", text)));
  let near = null;
  for (const button of $("events").querySelectorAll("button")) {
    const far = Math.abs(Number(button.dataset.t) - at.t_s);
    if (far < 0.03 && (near === null || far < near.far)) near = { far, button };
    button.removeAttribute("aria-current");
  }
  if (near) near.button.setAttribute("aria-current", "true");
};
const events = () => {
  $("events").replaceChildren(...shown.events.map((event) => {
    const item = make("li", null), button = make("button", `${event.side}: ${event.name} ${event.at}`, { type: "button", "data-t": event.t_s });
    button.onclick = () => { pause(); go(event.t_s); };
    item.append(button);
    return item;
  }));
};
// One frame for each picture of the screen, the newest wish.
let wished = null;
const go = (t) => {
  if (wished === null) requestAnimationFrame(() => {
    state.t = wished; wished = null;
    attempt(() => frame(ask(whole({ do: "frame" }))));
  });
  wished = Math.min(Math.max(t, shown.start_s), shown.end_s);
};
const pause = () => {
  if (playing !== null) { cancelAnimationFrame(playing); clearTimeout(playing); }
  playing = null;
  $("play").textContent = "▶"; $("play").setAttribute("aria-label", say("play"));
};
const SPEED = 4;
const play = () => {
  let t = state.t ?? shown_t ?? shown.start_s;
  if (t >= shown.end_s - 0.05) t = shown.start_s;
  $("play").textContent = "❚❚"; $("play").setAttribute("aria-label", say("pause"));
  if (MOTION.matches) {
    // From event to event, standing still between.
    const on = () => {
      const next = shown.events.find((event) => event.t_s > (state.t ?? shown.start_s) + 0.02);
      if (!next) { pause(); return; }
      go(next.t_s);
      playing = setTimeout(on, 1500);
    };
    state.t = t;
    playing = setTimeout(on, 0);
    return;
  }
  let before = null;
  const on = (now) => {
    if (before !== null) t += (SPEED * Math.min(now - before, 100)) / 1000;
    before = now;
    if (t >= shown.end_s) { go(shown.end_s); pause(); return; }
    go(t);
    playing = requestAnimationFrame(on);
  };
  playing = requestAnimationFrame(on);
};

// What is taken along.
const stem = () => record.name.replace(/\.ron$/, "");
const stop_walk = () => { walking += 1; show("walk", false); show("ready", false); $("sheet").disabled = false; };
const sheet = () => {
  stop_walk();
  const mine = walking;
  $("sheet").disabled = true;
  const finish = () => {
    const made = file_of(ask(whole({ do: "sheet" })), `${stem()}-sheet.html`, "text/html");
    $("save-sheet").href = made.url; $("save-sheet").download = made.name;
    $("share-sheet").onclick = () => navigator.share({ files: [made.file], title: shown.title }).catch(() => {});
    show("share-sheet", can_share(made.file));
    show("ready", true); show("walk", false);
    $("sheet").disabled = false;
    $("save-sheet").focus();
  };
  const walk = () => {
    if (mine !== walking) return;
    attempt(() => {
      const { done, of } = ask(whole({ do: "reach" }));
      $("walk").textContent = say("sheet_walks", done, of);
      show("walk", true);
      if (done >= of) finish(); else setTimeout(walk, 0);
    });
  };
  walk();
};

// A lesson: each step computed here, its answer when it is asked for.
const step = (index) => attempt(() => {
  pause();
  const told = ask({ ...whole({ do: "step" }), step: index });
  state.step = told.index; state.set = told.set; state.t = told.t_s;
  const pin = (one) => { state.pinned = one ? one.set : null; state.pinned_as = one ? one.letter : "A"; };
  pin(told.pins[0]);
  $("title").firstElementChild.textContent = told.title;
  $("place").textContent = say("lesson_step", told.index + 1, told.count);
  for (const part of ["heading", "caption", "question", "answer"]) $(part).textContent = told[part];
  show("question", told.question !== ""); show("answer", false); show("reveal", told.answer !== "");
  $("back").disabled = told.index === 0; $("on").disabled = told.index + 1 === told.count;
  show("pins", told.pins.length > 0);
  $("pin-list").replaceChildren(...told.pins.map((one) => {
    const button = make("button", `${one.letter}: ${one.name}`, { type: "button", "aria-pressed": String(one === told.pins[0]) });
    button.onclick = () => {
      for (const other of $("pin-list").children) other.setAttribute("aria-pressed", String(other === button));
      pin(one);
      update({ do: "show" });
    };
    return button;
  }));
  show("lesson", true);
  take(ask(whole({ do: "show" })));
});

// The page itself.
const speak = () => {
  const said = ask({ do: "say", lang: state.lang });
  words = said.words;
  document.documentElement.lang = state.lang;
  for (const place of document.querySelectorAll("[data-say]")) place.textContent = say(place.dataset.say);
  $("cautions-title").textContent = said.cautions.title;
  $("cautions-list").replaceChildren(...said.cautions.list.map((text) => make("li", text)));
  $("cautions-limits").textContent = said.cautions.limits;
  $("computed").textContent = say("computed", record.version);
  $("lang").setAttribute("aria-label", say("language"));
  $("sun").setAttribute("aria-label", say("sun"));
  $("scrub").setAttribute("aria-label", say("time"));
  $("events").setAttribute("aria-label", say("events"));
  $("units").textContent = say(state.units);
  $("units").setAttribute("aria-label", `${say("units")}: ${say(state.units)}`);
  pause();
  for (const part of when_said) part();
};
// What is said of a step has its numbers in the units asked for.
const again = () => (state.step === null ? update({ do: "show" }) : step(state.step));
const colours = () => {
  const sun = $("sun").getAttribute("aria-pressed") === "true";
  state.dark = DARK.matches && !sun;
  document.documentElement.toggleAttribute("data-dark", state.dark);
  document.documentElement.toggleAttribute("data-sun", sun);
};
const main = async () => {
  colours();
  try {
    module = await unpack();
    state.set = await start();
  } catch (error) {
    $("loading").textContent = record.no_engine.replace("{0}", () => String(error.message));
    return;
  }
  speak();
  await (state.step === null ? update({ do: "show" }) : step(0));
  $("read").disabled = false;
  $("read").onclick = () => {
    state.read = true;
    show("cautions-all", false); show("cautions-line", true);
    $("cautions").classList.add("read");
    rows();
    $("verdict").scrollIntoView({ block: "start" });
  };
  $("alert-close").onclick = () => show("alert", false);
  $("units").onclick = () => { state.units = state.units === "us" ? "si" : "us"; speak(); again(); };
  $("lang").onchange = () => { state.lang = $("lang").value; speak(); again(); };
  $("sun").onclick = () => { $("sun").setAttribute("aria-pressed", String($("sun").getAttribute("aria-pressed") !== "true")); colours(); update({ do: "show" }); };
  $("reveal").onclick = () => { show("answer", true); show("reveal", false); };
  $("back").onclick = () => step(state.step - 1);
  $("on").onclick = () => step(state.step + 1);
  $("pin").onclick = () => { state.pinned = state.set; state.pinned_as = "A"; update({ do: "show" }); };
  $("unpin").onclick = () => { state.pinned = null; update({ do: "show" }); };
  $("play").onclick = () => (playing === null ? play() : pause());
  $("scrub").oninput = () => { pause(); go(shown.start_s + (Number($("scrub").value) / SPAN) * (shown.end_s - shown.start_s)); };
  $("sheet").onclick = sheet;
  $("file").onclick = () => attempt(() => save(file_of(ask(whole({ do: "file" })), `${stem()}-turned.ron`, "text/plain")));
  DARK.addEventListener("change", () => { colours(); update({ do: "show" }); });
  for (const part of when_ready) part();
  let last = width();
  addEventListener("resize", () => { if (Math.abs(width() - last) > 8) { last = width(); update({ do: "show" }); } });
};
main();
