// The set-ups of a sheet, as found and as left, turned right there. On paper nothing of it is seen.
const how = () => ({ step: null, units: state.units, lang: state.lang, dark: false, width: 320 });
const whole = (question) => ({ ...question, set: state.set, pinned: null, pinned_as: "", t_s: null, ...how() });
const take = (answered) => {
  shown = answered;
  state.set = shown.set;
  good = { set: state.set, pinned: null };
  const { now, beside } = shown;
  $("live-stamp").textContent = `${now.sign} ${now.word}`;
  $("live-stamp").className = `stamp is-${now.verdict}`;
  $("live-gap").textContent = now.gap;
  $("live-was").textContent = state.set.length > 0 ? say("was", `${beside.sign} ${beside.gap}`) : "";
  $("live-said").textContent = now.said;
  rows();
  $("live-changed").replaceChildren(...shown.changed.map((one) => {
    const line = make("li", null), name = `${one.label}${one.side ? `, ${one.side}` : ""}`;
    line.append(make("span", `${name}: ${one.from} → ${one.to}`), act(say("undo"), () => attempt(() => {
      show("alert", false);
      take(ask({ ...whole({ do: "show" }), set: state.set.filter(([path]) => path !== one.path) }));
    }), { "aria-label": `${say("undo")}: ${name}` }));
    return line;
  }));
};
// Which of the set-ups is turned.
const choose = (index) => attempt(() => {
  opening = record.setups[index];
  show("alert", false);
  $("live-which").querySelectorAll("button").forEach((button, i) => button.setAttribute("aria-pressed", String(i === index)));
  state.set = ask(open_question());
  take(ask(whole({ do: "show" })));
});
const main = async () => {
  show("live", true);
  $("live-open").onclick = async () => {
    $("live-open").disabled = true;
    $("live-open").textContent = record.loading;
    opening = record.setups[0];
    try {
      module = await unpack();
      await start();
    } catch (error) {
      show("live-open", false);
      $("live-none").textContent = record.no_engine.replace("{0}", () => String(error.message));
      show("live-none", true);
      return;
    }
    words = ask({ do: "say", lang: state.lang }).words;
    state.read = true;
    const buttons = record.setups.map((setup, i) => act(setup.label, () => choose(i)));
    if (buttons.length > 1) $("live-which").replaceChildren(...buttons);
    show("live-open", false); show("live-inner", true);
    $("alert-close").onclick = () => show("alert", false);
    choose(0);
  };
};
main();
