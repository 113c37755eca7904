// What every page shares: talk to the desk, say what happened, dialogues, undo by keys, news of others.
export const $ = (what, from = document) => from.querySelector(what);
export const $$ = (what, from = document) => [...from.querySelectorAll(what)];
export const root = document.body.dataset.root || "";
const client = Math.random().toString(36).slice(2);
let known = document.body.dataset.fingerprint || "";
export const fingerprint = () => known;

export function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value != null) made.setAttribute(key, value);
  }
  made.append(...children.filter((child) => child != null));
  return made;
}

export function say(text, { bad = false, action = null, after = false } = {}) {
  const box = $("#says"), stays = after ? box.querySelector(":scope > :not(.bad)") : null;
  if (stays) { $("span", stays).append(` ${text}`); goesLater(stays, 6000); return; } // what a change did stands beside what takes it back
  for (const one of [...box.children]) if (!one.classList.contains("bad")) one.remove(); // one message at a time: they lie over what is worked on
  while (box.children.length > 1) box.firstChild.remove();
  const line = element("div", { class: bad ? "bad" : "" }, element("span", {}, text));
  if (action) line.append(element("button", { type: "button", onclick: () => { line.remove(); action.does(); } }, action.says));
  line.append(element("button", { type: "button", "aria-label": "Close this message", onclick: () => line.remove() }, "×"));
  box.append(line);
  goesLater(line, bad ? 20000 : 6000);
}
function goesLater(line, ms) { clearTimeout(Number(line.dataset.goes)); line.dataset.goes = setTimeout(() => line.remove(), ms); }

export async function send(address, body = {}) {
  let answer;
  try {
    answer = await fetch(address, { method: "POST", headers: { "Content-Type": "application/json", "X-Client": client, Accept: "application/json" }, body: JSON.stringify(body) });
  } catch {
    say("No connection to the desk: not saved. Try again when it is back.", { bad: true });
    return { ok: false, lost: true, says: "", faults: [] };
  }
  const told = await answer.json().catch(() => ({ ok: false, says: `The desk answered ${answer.status}.`, faults: [] }));
  if (told.fingerprint) known = told.fingerprint;
  if (told.pair) location.reload();
  return told;
}

export async function edit(changes, says, { base = known, quiet = false, keep = false } = {}) {
  const told = await send(`${root}/edit`, { base, changes, says });
  if (told.ok) { if (!quiet) say(told.says, { action: { says: "Undo", does: undo } }); if (keep) await refresh({ alone: true }); else await refresh(); } else refused(told, changes, says);
  return told;
}

export function refused(told, changes = null, says = "") {
  if (told.lost) return;
  if (told.clashes && told.clashes.length) return bothVersions(told, changes, says);
  const faults = (told.faults || []).map((fault) => `${fault.path ? fault.path + ": " : ""}${fault.says}`);
  say([told.says, ...faults.slice(0, 3)].filter(Boolean).join(" "), { bad: true });
}

function bothVersions(told, changes, says) {
  const shown = (value) => (value == null ? "not there" : typeof value === "object" ? JSON.stringify(value) : String(value));
  const rows = told.clashes.map((one) => element("tr", {}, element("th", { scope: "row" }, one.path.join(" › ")), element("td", {}, shown(one.before)), element("td", {}, shown(one.mine)), element("td", {}, shown(one.theirs))));
  const table = element("table", {}, element("thead", {}, element("tr", {}, ...["Place", "Before", "Yours", "Theirs"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, ...rows));
  const close = () => dialog().close();
  show(element("div", {},
    element("div", { class: "top" }, element("h2", {}, "Two people changed the same place"), element("button", { type: "button", onclick: close }, "Close")),
    element("p", {}, "Somebody else saved a change of the same place while you worked. Nothing of yours was written. Choose:"),
    element("div", { class: "scroll" }, table),
    element("p", { class: "row end" },
      element("button", { type: "button", onclick: () => { close(); latest().then(refresh); } }, "Keep theirs"),
      changes ? element("button", { type: "button", class: "main", onclick: async () => { close(); await latest(); await edit(changes, `${says} (over another's change)`); } }, "Write mine over it") : null)));
}

async function latest() {
  const told = await (await fetch(`${root}/news`, { headers: { Accept: "application/json" } })).json();
  known = told.fingerprint;
}

export const undo = () => step("undo");
export const redo = () => step("redo");
async function step(which) {
  const told = await send(`${root}/${which}`);
  if (told.ok) { say(told.says); await refresh(); document.dispatchEvent(new CustomEvent("desk:stepped")); } else refused(told);
}

// -- the main part of the page, fetched anew where something changed --------------------------
const beforeRefresh = [];
export const onRefresh = (does) => beforeRefresh.push(does);
let refreshed = 0, refreshing = 0, soon = 0, missed = false;
const isTyping = () => dialog().open || document.activeElement?.closest("form[data-send]");
// What others did is fetched at most once in a second and a half, so that many people at work do not keep every page busy.
function refreshSoon() {
  if (soon) return;
  soon = setTimeout(() => { soon = 0; if (isTyping()) missed = true; else refresh({ ofOthers: true }); }, Math.max(0, refreshed + 1500 - performance.now()) + Math.random() * 150);
}
const caughtUp = () => { if (missed && root && !isTyping()) refreshSoon(); };
$("#dialog")?.addEventListener("close", caughtUp);
document.addEventListener("focusout", () => setTimeout(caughtUp));
export async function refresh({ alone = false, ofOthers = false } = {}) {
  refreshed = performance.now();
  const mine = ++refreshing;
  const keeps = document.body.dataset.keep;
  if (keeps && !alone) document.dispatchEvent(new CustomEvent("desk:changed"));
  const answer = await fetch(location.href, { headers: { "X-Part": "main", Accept: "text/html" } });
  const text = await answer.text();
  if (mine !== refreshing) return; // a newer one is on its way
  if (ofOthers && isTyping()) { missed = true; return; } // what is being typed is merged when it is saved
  missed = false;
  const focus = document.activeElement?.id;
  const opened = $$("details[open][id]").map((one) => one.id);
  const kept = Object.fromEntries($$("main [data-keep]").map((one) => [one.id, one.value]));
  const made = new DOMParser().parseFromString(text, "text/html");
  const main = made.querySelector("main");
  if (!main) return;
  known = main.dataset.fingerprint || known; // a change is judged against what the page shows
  if (!keeps) $("main").replaceWith(document.adoptNode(main));
  for (const part of made.querySelectorAll("[data-also]")) { const there = document.getElementById(part.id); if (there) there.replaceWith(document.adoptNode(part)); }
  opened.forEach((id) => { const one = document.getElementById(id); if (one) one.open = true; });
  for (const [id, value] of Object.entries(kept)) { const one = document.getElementById(id); if (one) { one.value = value; one.dispatchEvent(new Event("input", { bubbles: true })); } }
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
  beforeRefresh.forEach((does) => does());
}

// -- dialogue -----------------------------------------------------------------------------------
export const dialog = () => $("#dialog");
export function show(content, { side = false } = {}) {
  const box = dialog();
  box.classList.toggle("side", side);
  $(".inside", box).replaceChildren(content);
  if (!box.open) box.showModal();
  const heading = $("h2, h3", box);
  if (heading) { heading.id ||= "dialog-title"; box.setAttribute("aria-labelledby", heading.id); heading.tabIndex = -1; heading.focus(); }
}
// What is typed into a form of a dialogue and not saved comes back when the form is opened again, whichever way it was closed.
const drafts = new Map();
const draftKey = (form) => [form.dataset.send, ...["@path", "@new", "@kind"].map((name) => form.elements[name]?.value ?? "")].join(" ");
const typedIn = (form) => [...form.elements].filter((part) => part.name && part.type !== "hidden" && part.type !== "submit" && (part.type === "checkbox" || part.type === "radio" ? part.checked !== part.defaultChecked : part.tagName === "SELECT" ? ![...part.options].some((one) => one.selected && one.defaultSelected) && part.selectedIndex > 0 : part.value !== part.defaultValue));
$("#dialog")?.addEventListener("close", () => {
  const form = $("form[data-send]", dialog());
  if (!form || form.dataset.sent) return;
  const typed = typedIn(form);
  if (!typed.length) { drafts.delete(draftKey(form)); return; }
  drafts.set(draftKey(form), typed.map((part) => [part.id, part.type === "checkbox" || part.type === "radio" ? part.checked : part.value]));
  say("Not saved. What you typed is kept, and comes back when you open this again.", { bad: true });
});
function recall(holder) {
  for (const form of $$("form[data-send]", holder)) for (const [id, value] of drafts.get(draftKey(form)) || []) {
    const part = form.querySelector(`#${CSS.escape(id)}`);
    if (!part) continue;
    if (typeof value === "boolean") part.checked = value; else part.value = value;
    const around = part.closest("details");
    if (around) around.open = true;
  }
}
export async function open(address, { side = true } = {}) {
  const base = known; // what is typed here is thought for what the page knew now, whatever it learns meanwhile
  const answer = await fetch(address, { headers: { Accept: "application/json, text/html;q=0.5", "X-Part": "dialog" } });
  if (!answer.ok) { const told = await answer.json().catch(() => ({})); say(told.says || "That cannot be shown.", { bad: true }); return; }
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  const holder = element("div");
  holder.append(...made.body.childNodes);
  Object.assign(holder.dataset, { from: address, base });
  recall(holder);
  show(holder, { side });
}
// A dialogue that was opened before remedies were tried shows them once they are, where nobody is typing in it.
async function renew() {
  const holder = $("#dialog[open] [data-from]");
  if (holder && $("[data-stale]", holder) && !holder.querySelector("input:focus, textarea:focus, select:focus, button:disabled") && !$$("form[data-send]", holder).some((form) => typedIn(form).length)) await open(holder.dataset.from, { side: dialog().classList.contains("side") });
}

// -- one listener for everything that is clicked ------------------------------------------------
document.addEventListener("click", async (event) => {
  const part = event.target.closest("[data-open], [data-show], [data-edit], [data-post], [data-close], [data-remove], [data-add-row], [data-drop-row]");
  if (!part) return;
  const { open: address, edit: given, post, says } = part.dataset;
  if (address != null) { event.preventDefault(); await open(address, { side: part.dataset.side !== "no" }); }
  else if (given != null) { part.disabled = true; const done = await edit(JSON.parse(given), says || "a change"); part.disabled = false; if (done.ok && dialog().open) dialog().close(); }
  else if (post != null) {
    if (part.dataset.ask && !confirm(part.dataset.ask)) return;
    part.disabled = true;
    const told = await send(post, part.dataset.body ? JSON.parse(part.dataset.body) : {});
    part.disabled = false;
    if (told.ok && told.open) await open(told.open, { side: false });
    else if (told.ok) { const form = $("form[data-send]", dialog()); if (form) form.dataset.sent = "1"; if (dialog().open) dialog().close(); if (told.says) say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {}); if (told.go) location.href = told.go; else await refresh(); } else if (dialog().open) tellInside(told); else refused(told);
  } else if ("close" in part.dataset) dialog().close();
  else if ("show" in part.dataset) show(document.getElementById(part.dataset.show).content.cloneNode(true).firstElementChild);
  else if ("addRow" in part.dataset) {
    const pattern = document.getElementById(part.dataset.addRow);
    const copy = pattern.content.cloneNode(true);
    part.before(copy);
    part.previousElementSibling?.querySelector("input, select")?.focus();
  } else if ("dropRow" in part.dataset) part.closest("[data-row]").remove();
});

// A refusal is told in front of what is open, not behind it.
function tellInside(told) {
  if (told.lost || (told.clashes && told.clashes.length)) { refused(told); return; }
  const faults = (told.faults || []).map((fault) => `${fault.path ? fault.path + ": " : ""}${fault.says}`), says = [told.says, ...faults.slice(0, 3)].filter(Boolean).join(" ");
  const box = $(".faults", dialog()) || $(".inside", dialog()).insertBefore(element("div", { class: "faults notice bad", role: "alert" }), $(".inside", dialog()).firstChild);
  box.hidden = false; box.replaceChildren(element("p", {}, says));
}

// -- forms: fields by path, sent as JSON, faults shown beside their field -----------------------
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-send]");
  if (!form) return;
  event.preventDefault();
  const button = event.submitter;
  if (button) button.disabled = true;
  const values = {}, typed = form.elements["@path"] && !form.elements["@new"]?.value ? typedIn(form) : null;
  for (const part of form.elements) {
    if (!part.name || part.disabled) continue;
    if (typed && part.type !== "hidden" && !typed.includes(part)) continue; // of an entry that is there only what was changed: the rest may have changed meanwhile
    if (part.type === "radio" && !part.checked) continue;
    const value = part.type === "checkbox" ? (part.value === "on" ? part.checked : part.checked ? part.value : null) : part.value;
    if (part.dataset.many != null) (values[part.name] ||= []).push(value); else values[part.name] = value;
  }
  $$("[aria-invalid]", form).forEach((one) => one.removeAttribute("aria-invalid"));
  $$(".fault", form).forEach((one) => { one.textContent = ""; });
  const within = dialog().contains(form); // it is done with when the form was, even if its text was made anew meanwhile
  const told = await send(form.dataset.send, { base: form.closest("[data-base]")?.dataset.base || known, values, button: button?.value || "" });
  if (button) button.disabled = false;
  if (told.ok) {
    form.dataset.sent = "1";
    drafts.delete(draftKey(form));
    if (within) dialog().close();
    if (told.go) { location.href = told.go; return; }
    if (told.says) say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
    await refresh();
    return;
  }
  if (told.clashes && told.clashes.length) { refused(told, told.changes, told.about); return; }
  const rest = [];
  for (const fault of told.faults || []) {
    const part = [...form.elements].find((one) => one.name && fault.field === one.name);
    if (part) {
      part.setAttribute("aria-invalid", "true");
      const place = document.getElementById(`${part.id}-fault`);
      if (place) place.textContent = fault.says; else rest.push(fault);
    } else rest.push(fault);
  }
  const first = $("[aria-invalid]", form);
  if (first) first.focus();
  const box = $(".faults", form);
  const texts = [told.says, ...rest.map((fault) => `${fault.path ? fault.path + ": " : ""}${fault.says}`)].filter(Boolean);
  if (box) { box.hidden = false; box.replaceChildren(...texts.map((text) => element("p", {}, text))); } else say(texts.slice(0, 3).join(" "), { bad: true });
});

// -- filter, sort: plain tables ------------------------------------------------------------------
export function filterRows() {
  for (const field of $$("[data-filter]")) {
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    const rows = $$(field.dataset.filter);
    let shown = 0;
    for (const row of rows) {
      const text = row.dataset.text || (row.dataset.text = row.textContent.toLowerCase());
      const keep = words.every((word) => text.includes(word)) && $$("[data-facet]").every((one) => !one.value || (one.value[0] === "!" ? row.dataset[one.dataset.facet] !== one.value.slice(1) : row.dataset[one.dataset.facet] === one.value));
      row.hidden = !keep;
      shown += keep;
    }
    const count = document.getElementById(field.dataset.count || "");
    if (count) count.textContent = `${shown} of ${rows.length}`;
  }
}
document.addEventListener("input", (event) => { if (event.target.closest("[data-filter], [data-facet]")) filterRows(); });
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-sort]");
  if (!button) return;
  const head = button.closest("th"), table = head.closest("table"), column = [...head.parentElement.children].indexOf(head);
  const down = head.getAttribute("aria-sort") === "ascending";
  $$("th[aria-sort]", table).forEach((one) => one.removeAttribute("aria-sort"));
  head.setAttribute("aria-sort", down ? "descending" : "ascending");
  const compare = new Intl.Collator("en", { numeric: true }).compare;
  const value = (row) => row.children[column].dataset.value ?? row.children[column].textContent.trim();
  const rows = [...table.tBodies[0].rows].sort((a, b) => (down ? -1 : 1) * compare(value(a), value(b)));
  table.tBodies[0].append(...rows);
});

// -- look, menu, keys ------------------------------------------------------------------------------
const LOOKS = { light: "Light", dark: "Dark", sun: "Sunlight" };
const look = $("#look");
if (look) {
  look.value = document.documentElement.dataset.theme;
  look.addEventListener("change", () => { document.documentElement.dataset.theme = look.value in LOOKS ? look.value : "light"; try { localStorage.setItem("look", look.value); } catch { /* private window */ } document.dispatchEvent(new CustomEvent("desk:look")); });
}
$("#menu")?.addEventListener("click", (event) => { const shown = $(".rail").classList.toggle("shown"); event.currentTarget.setAttribute("aria-expanded", String(shown)); if (shown) $(".rail a").focus(); });
document.addEventListener("click", (event) => { if (event.target.closest("#undo")) undo(); if (event.target.closest("#redo")) redo(); });
const typing = (target) => target.closest?.("input, textarea, select, [contenteditable]");
document.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && !event.altKey && !typing(event.target) && root && !dialog().open) {
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) { event.preventDefault(); undo(); } else if (key === "y" || (key === "z" && event.shiftKey)) { event.preventDefault(); redo(); }
  } else if (event.key === "/" && !typing(event.target)) { const field = $("main input[type=search]"); if (field) { event.preventDefault(); field.focus(); } }
  else if (event.key === "?" && !typing(event.target) && $("#keys-help")) show($("#keys-help").content.cloneNode(true).firstElementChild);
});

// -- news ---------------------------------------------------------------------------------------------
if (root) {
  const state = (text) => { const place = $("#state"); if (place) place.textContent = text; };
  const heard = {};
  let source = null, lost = false, away = false;
  const listen = () => {
    source = new EventSource(`${root}/events`);
    source.onopen = opened;
    source.onerror = () => { lost = true; state("No connection"); };
    for (const [name, does] of Object.entries(heard)) source.addEventListener(name, (event) => does(JSON.parse(event.data)));
  };
  const leave = () => { source?.close(); source = null; away = true; };
  // A judgement may be done before this page listens: whoever waits for one asks now and then.
  const waits = async () => { if ($("main [data-stale], #dialog [data-stale]") && !document.hidden) { const told = await (await fetch(`${root}/news`, { headers: { Accept: "application/json" } })).json().catch(() => ({})); const stale = $("main [data-stale]")?.dataset.stale; if (dialog().open) { if (told.judged) await renew(); } else if (stale && (stale === "trying" ? told.judged : told.found)) await refresh({ ofOthers: true }); } };
  setInterval(() => waits().catch(() => {}), 3000);
  const opened = async () => {
    if (!lost && !away) { await waits(); return; }
    const wasAway = away;
    lost = away = false; state("Saved");
    const told = await (await fetch(`${root}/news`, { headers: { Accept: "application/json" } })).json();
    if (wasAway || told.fingerprint !== known) await refresh({ ofOthers: true });
  };
  // What a page asks for by itself (a map, a list, news) is asked again when the connection is back: no fault of the page.
  addEventListener("unhandledrejection", (event) => {
    if (!(event.reason instanceof TypeError) || !/fetch|load failed/i.test(event.reason.message)) return;
    event.preventDefault();
    if (source?.readyState !== EventSource.OPEN) { lost = true; state("No connection"); }
  });
  heard.changed = async (news) => {
    if (news.client === client || news.fingerprint === known) return;
    say(`${news.by}: ${news.says}`);
    if (isTyping()) missed = true; else refreshSoon();
  };
  heard.judged = async (news) => {
    if (news.client === client && news.says) say(news.says, { after: news.fingerprint === known });
    if (dialog().open) { await renew(); return; }
    if (!$("main [data-stale]")) return;
    if (news.client === client) await refresh({ ofOthers: true }); else refreshSoon();
  };
  heard.record = async (news) => { if (news.client !== client && !dialog().open) refreshSoon(); };
  // A browser holds about six connections to one desk: a tab that nobody looks at gives its own back, and catches up when it is seen again.
  document.addEventListener("visibilitychange", () => { if (document.hidden) leave(); else if (!source) listen(); });
  if (document.hidden) away = true; else listen();
  addEventListener("pagehide", leave);
  addEventListener("pageshow", () => { if (!source && !document.hidden) listen(); });
}
// On a phone a row becomes a card: each value says what it is.
function headCells() {
  if (!matchMedia("(max-width: 40rem)").matches) return;
  for (const table of $$("table.stack")) {
    const words = [...(table.tHead?.rows[0]?.cells || [])].map((cell) => (cell.querySelector("input, .hidden-text") ? "" : cell.textContent.trim()));
    if (words.length) for (const row of table.tBodies[0].rows) [...row.cells].forEach((cell, index) => { if (words[index] && index) cell.dataset.head = words[index]; });
  }
}
matchMedia("(max-width: 40rem)").addEventListener("change", headCells);
filterRows(); headCells();
onRefresh(filterRows); onRefresh(headCells);
