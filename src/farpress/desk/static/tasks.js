// The job by task: a field is saved when it is left, an entry is added, renamed, copied, taken out in its place.
// What cannot be saved stays as it was typed, with the reason beside it; nothing that is typed is thrown away.
import { $, $$, element, say, send, undo, root, refresh, refused, fingerprint, show, dialog, open } from "./desk.js";

const entry = (part) => JSON.parse(part.closest("[data-entry]").dataset.entry);
const dirty = new Map(); // id of a field → what is typed and not saved yet

document.addEventListener("input", (event) => { const field = event.target; if (field.closest("[data-each], [data-add]") && field.id && field.name) dirty.set(field.id, field.value); });
document.addEventListener("change", (event) => { const form = event.target.closest("[data-each]"); if (form && event.target.name) { dirty.set(event.target.id, event.target.value); save(form); } });
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("[data-each], [data-add]");
  if (!form) return;
  event.preventDefault();
  if (form.dataset.each != null) { save(form); return; }
  const values = { "@path": JSON.stringify(JSON.parse(form.dataset.path)), "@new": "1" };
  for (const part of form.elements) if (part.name) values[part.name] = part.value;
  const told = await send(form.dataset.add, { base: fingerprint(), values });
  if (!told.ok) { showFaults(form, told); return; }
  for (const part of form.elements) { dirty.delete(part.id); if (part.name) part.value = part.tagName === "SELECT" ? part.options[0].value : ""; }
  say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
  const id = form.closest("details").id;
  await reload();
  const again = document.getElementById(id);
  if (again) { again.open = true; $("input, select", again)?.focus({ preventScroll: false }); }
});

// All fields of one form that are typed and not saved yet go together: a cable needs its part and its length.
let turn = Promise.resolve();
function save(form) { turn = turn.then(() => saveNow(form)); return turn; }
async function saveNow(form) {
  if (!form.isConnected) form = document.getElementById(form.closest("[data-entry]")?.id)?.querySelector("form[data-each]") || form;
  const fields = [...form.elements].filter((part) => part.name && dirty.has(part.id));
  if (!fields.length) return;
  const sent = new Map(fields.map((part) => [part.id, part.value]));
  const values = { "@path": JSON.stringify(entry(form)) };
  for (const part of fields) values[part.name] = part.value;
  const told = await send(form.dataset.each, { base: fingerprint(), values, also: alike(form) });
  if (!told.ok) { showFaults(form, told); return; }
  clearFaults(form);
  for (const [id, value] of sent) if (dirty.get(id) === value) dirty.delete(id);
  for (const part of fields) { part.closest(".field")?.classList.add("saved"); setTimeout(() => part.closest(".field")?.classList.remove("saved"), 1500); }
  if (told.version) say(told.says, { action: { says: "Undo", does: undo } });
  if (fields.some((part) => /(^|\/)(part|fob|like|kind)$/.test(part.name)) || alike(form).length) await reload(); else await refresh({ alone: true });
}
function alike(form) {
  const block = form.closest("[data-entry]");
  if (!$("[data-together]", block)?.checked) return [];
  return $$(`[data-room="${CSS.escape(block.dataset.room)}"]`).filter((one) => one !== block && $("[data-together]", one)?.checked).map(entry);
}

function clearFaults(form) {
  $$("[aria-invalid]", form).forEach((one) => one.removeAttribute("aria-invalid"));
  $$(".fault", form).forEach((one) => { one.textContent = ""; });
  const box = $(".faults", form);
  if (box) box.hidden = true;
}
function showFaults(form, told) {
  clearFaults(form);
  if (told.lost) return;
  if (told.clashes?.length) { refused(told, told.changes, told.about); return; }
  const rest = [];
  for (const fault of told.faults || []) {
    const part = [...form.elements].find((one) => one.name === fault.field), place = part && document.getElementById(`${part.id}-fault`);
    if (place) { part.setAttribute("aria-invalid", "true"); place.textContent = fault.says; } else rest.push(`${fault.path ? `${fault.path}: ` : ""}${fault.says}`);
  }
  const box = $(".faults", form), texts = [(told.faults || []).length ? "" : told.says, ...rest].filter(Boolean);
  if (box) { box.hidden = !texts.length; box.textContent = texts.length ? `Not saved yet; what you typed stays. ${texts.join(" ")}` : ""; }
}

// The page anew, in its place: scroll, focus, what is open, ticked or typed and not saved stay.
let reloading = 0;
export async function reload() {
  const mine = ++reloading;
  const answer = await fetch(location.href, { headers: { "X-Part": "main", Accept: "text/html" } });
  const text = await answer.text();
  if (mine !== reloading) return;
  const made = new DOMParser().parseFromString(text, "text/html"), main = made.querySelector("main");
  if (!main || !answer.ok) return;
  const focus = document.activeElement?.id, at = [scrollX, scrollY], caret = document.activeElement?.selectionStart;
  const opened = $$("main details").map((one) => [one.id, one.open]), ticked = $$("[data-together]:checked").map((one) => one.closest("[data-entry]").id);
  $("main").replaceWith(document.adoptNode(main));
  for (const part of made.querySelectorAll("[data-also]")) document.getElementById(part.id)?.replaceWith(document.adoptNode(part));
  for (const [id, isOpen] of opened) { const one = document.getElementById(id); if (one && isOpen) one.open = true; }
  for (const id of ticked) { const box = $(`#${CSS.escape(id)} [data-together]`); if (box) box.checked = true; }
  for (const [id, value] of dirty) { const one = document.getElementById(id); if (one) one.value = value; }
  scrollTo(...at);
  const one = focus && document.getElementById(focus);
  if (one) { one.focus({ preventScroll: true }); try { one.setSelectionRange(caret, caret); } catch { /* no text */ } }
}
document.addEventListener("desk:changed", () => reload());
document.addEventListener("desk:stepped", () => reload());

document.addEventListener("click", async (event) => {
  const part = event.target.closest("[data-rename], [data-copy], [data-take]");
  if (!part) return;
  const path = entry(part), name = path.at(-1);
  if (part.dataset.take) {
    const told = await send(part.dataset.take, { path });
    if (!told.ok) { refused(told); return; }
    if (told.open) { await open(told.open, { side: false }); return; }
    say(told.says, { action: { says: "Undo", does: undo } });
    await reload();
  } else if ("copy" in part.dataset && typeof name === "number") await done("copy", { path });
  else ask("rename" in part.dataset ? "rename" : "copy", path);
});
async function done(what, body) {
  const told = await send(`${root}/entry/${what}`, body);
  if (!told.ok) { refused(told); return told; }
  say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
  await reload();
  return told;
}
function ask(what, path) {
  const name = String(path.at(-1)), input = element("input", { id: "newname", value: what === "rename" ? name : "", maxlength: 80 }), fault = element("span", { class: "fault", role: "alert", id: "newname-fault" });
  input.setAttribute("aria-describedby", "newname-fault");
  const form = element("form", {}, element("div", { class: "top" }, element("h2", {}, what === "rename" ? `Rename ${name}` : `Copy ${name}`), element("button", { type: "button", "data-close": "" }, "Close")),
    element("p", {}, what === "rename" ? "Everything that points to it follows." : "The copy says the same as this one."),
    element("div", { class: "field" }, element("label", { for: "newname" }, "New name"), input, fault), element("p", { class: "row end" }, element("button", { class: "main", type: "submit" }, what === "rename" ? "Rename" : "Copy")));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const told = await send(`${root}/entry/${what}`, { path, name: input.value });
    if (!told.ok) { fault.textContent = told.says; input.setAttribute("aria-invalid", "true"); return; }
    dialog().close();
    say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
    await reload();
  });
  show(form);
  input.focus(); input.select();
}
addEventListener("beforeunload", (event) => { if ([...dirty.keys()].some((id) => document.getElementById(id)?.closest("[data-each]"))) event.preventDefault(); });
{ const tab = $(".tabs [aria-current]"), row = tab?.closest("ul"); if (row && row.scrollWidth > row.clientWidth) row.scrollLeft = tab.offsetLeft - row.clientWidth / 3; }
