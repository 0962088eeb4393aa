// Settings; the parts of each cell by its path.
let drawn = "";
const cells = new Map();
const cell = (row, one) => {
  const box = make("div", null, { class: "cell", role: "group", "aria-label": `${row.label}${one.said_side ? `, ${one.said_side}` : ""}` });
  if (one.said_side) box.append(make("span", one.said_side, { class: "side" }));
  if (one.choices.length > 0) {
    box.classList.add("one");
    const list = make("select", null, { "data-path": one.path, "aria-label": box.getAttribute("aria-label") });
    for (const [value, text] of one.choices) list.append(make("option", text, { value }));
    list.onchange = () => update({ do: "put", path: one.path, value: list.value });
    box.append(list);
    cells.set(one.path, { box, list });
  } else {
    const button = (kind, text, label, work) => {
      const made = make("button", text, { type: "button", class: kind, "aria-label": label, "data-path": one.path });
      made.onclick = work;
      box.append(made);
      return made;
    };
    const name = box.getAttribute("aria-label");
    const less = button("less", "−", `${name}: ${say("less")}`, () => update({ do: "turn", path: one.path, steps: -1 }));
    const value = button("value", "", null, () => type(one.path));
    const plus = button("plus", "+", `${name}: ${say("plus")}`, () => update({ do: "turn", path: one.path, steps: 1 }));
    cells.set(one.path, { box, less, value, plus });
  }
  return box;
};
const rows = () => {
  const shape = JSON.stringify([state.lang, shown.rows.map((row) => [row.key, row.first, row.range, row.cells.map((c) => [c.path, c.choices])])]);
  if (shape !== drawn) {
    drawn = shape;
    cells.clear();
    const made = { first: [], rest: [] };
    for (const row of shown.rows) {
      const box = make("div", null, { class: "row" }), name = make("p", row.label, { class: "name" });
      if (row.step) name.append(make("small", say("step", row.step, row.range)));
      const sides = make("div", null, { class: "cells" });
      sides.append(...row.cells.map((one) => cell(row, one)));
      box.append(name, sides);
      made[row.first ? "first" : "rest"].push(box);
    }
    $("first").replaceChildren(...made.first); $("rest").replaceChildren(...made.rest);
  }
  for (const row of shown.rows) for (const one of row.cells) {
    const cell = cells.get(one.path), now = JSON.stringify([one.value, one.other, one.written, one.down, one.up, one.changed, state.read]);
    // Most stay as they are.
    if (cell.now === now) continue;
    cell.now = now;
    cell.box.classList.toggle("changed", one.changed);
    const { list, less, value, plus } = cell;
    if (list) { list.value = one.written; list.disabled = !state.read; continue; }
    value.textContent = one.value;
    if (one.other) value.append(" ", make("small", one.other));
    value.setAttribute("aria-label", `${cell.box.getAttribute("aria-label")}: ${one.value}${one.other ? ` ${one.other}` : ""}, ${say("type")}`);
    value.disabled = !state.read;
    less.disabled = !state.read || !one.down;
    plus.disabled = !state.read || !one.up;
  }
};
const type = (path) => {
  const row = shown.rows.find((r) => r.cells.some((c) => c.path === path)), one = row.cells.find((c) => c.path === path);
  $("typing-title").textContent = one.said_side ? `${row.label}, ${one.said_side}` : row.label;
  $("typing-range").textContent = row.range;
  $("typed").value = one.written;
  const box = $("typing");
  box.returnValue = "";
  box.onclose = () => { if (box.returnValue === "set") update({ do: "put", path, value: $("typed").value }); };
  box.showModal();
  $("typed").select();
};
