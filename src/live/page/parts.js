// What the page and the sheet share: elements, words, what is shown. All files of a page are one script, in one room.
const $ = (id) => document.getElementById(id);
const record = JSON.parse($("live-record").textContent);
const state = { set: [], pinned: null, pinned_as: "A", step: null, units: record.units, lang: record.lang, t: null, dark: false, read: false };
let words = {}, shown = null;
// What parts of a page do when it stands, and when its language or units change.
const when_ready = [], when_said = [];

const say = (key, ...values) => values.reduce((text, value, i) => text.replace(`{${i}}`, () => value), words[key] ?? "");
const make = (tag, text, more = {}) => {
  const element = document.createElement(tag);
  if (text !== null) element.textContent = text;
  for (const [name, value] of Object.entries(more)) if (value !== null) element.setAttribute(name, value);
  return element;
};
const show = (id, yes) => { $(id).hidden = !yes; };
const act = (text, work, more = {}) => {
  const button = make("button", text, { type: "button", ...more });
  button.onclick = work;
  return button;
};

// What is taken along.
const file_of = (text, name, kind) => ({ url: URL.createObjectURL(new Blob([text], { type: kind })), file: new File([text], name, { type: kind }), name });
const can_share = (file) => { try { return navigator.canShare?.({ files: [file] }) === true; } catch { return false; } };
const save = (made) => { const link = make("a", null, { href: made.url, download: made.name }); document.body.append(link); link.click(); link.remove(); };
