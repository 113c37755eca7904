// The walk with a phone: one big yes or no for each press. Every answer is kept on the phone first and sent
// when there is a connection; each has an id of its own, so that one that arrives twice counts once.
import { $, element, say, root } from "./desk.js";

const tests = JSON.parse($("#walk").dataset.tests), KEY = `walk ${root}`;
let queue = [], at = 0, sending = false;
try { queue = JSON.parse(localStorage.getItem(KEY) || "[]"); } catch { queue = []; }
try { at = Math.min(tests.length - 1, Number(sessionStorage.getItem(`${KEY} at`) || 0)); } catch { at = 0; }
const keep = () => { try { localStorage.setItem(KEY, JSON.stringify(queue)); return true; } catch { say("This phone keeps nothing (private window?): stay connected.", { bad: true }); return false; } };
const ident = () => `${Date.now().toString(36)}-${crypto.getRandomValues(new Uint32Array(2)).join("-")}`;
const waitingFor = (test) => queue.filter((one) => one.test === test.id);
const told = () => { const place = $("#queue"); place.textContent = queue.length ? `${queue.length} kept on this phone, not sent yet` : "everything sent"; place.classList.toggle("thin", queue.length > 0); };

function answer(test, values) {
  queue.push({ id: ident(), test: test.id, ...values });
  keep(); told(); if (navigator.vibrate) navigator.vibrate(30);
  draw(); flush();
}
async function flush() {
  if (sending || !queue.length) return;
  sending = true;
  const batch = queue.slice(0, 200);
  try {
    const reply = await fetch(`${root}/proving/enter`, { method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" }, body: JSON.stringify({ entries: batch }) });
    if (reply.status === 401) { say("This phone is not paired any more. Your answers are kept here: load the page again and give the code.", { bad: true }); return; }
    const news = await reply.json();
    if (!reply.ok) { say(news.says || `The desk answered ${reply.status}; your answers are kept here.`, { bad: true }); return; }
    for (const [id, why] of Object.entries(news.refused)) say(`One answer was refused: ${why}`, { bad: true });
    const gone = new Set([...news.taken, ...Object.keys(news.refused)]);
    queue = queue.filter((one) => !gone.has(one.id));
    for (const [id, test] of Object.entries(news.tests)) { const index = tests.findIndex((one) => one.id === id); if (index >= 0) tests[index] = test; }
    keep(); draw();
  } catch { /* no connection: they stay where they are */ } finally { sending = false; told(); }
  if (queue.length) setTimeout(flush, 400);
}
setInterval(flush, 4000);
addEventListener("online", flush);
addEventListener("beforeunload", (event) => { if (queue.length && !keep()) event.preventDefault(); });

function draw() {
  if (!tests.length) { $("#card").replaceChildren(element("p", {}, "There is nothing to prove yet: promise something first.")); return; }
  const test = tests[at], waiting = waitingFor(test);
  try { sessionStorage.setItem(`${KEY} at`, String(at)); } catch { /* private window */ }
  $("#where").textContent = `${at + 1} of ${tests.length} · ${test.number}`;
  const jump = $("#jump");
  if (jump.children.length !== tests.length) jump.replaceChildren(...tests.map((one, index) => element("option", { value: index }, `${one.number} ${one.place || one.does.slice(0, 40)}`)));
  jump.value = at; $("#before").disabled = at === 0; $("#after").disabled = at === tests.length - 1;
  const parts = [element("h2", {}, test.does), element("p", {}, `Expected: ${test.expected}`)];
  if (test.held) parts.push(element("p", {}, `Fob ${test.held}.`));
  if (test.pad) parts.push(element("p", {}, `With the ${test.pad} dB pad in.`));
  if (test.kind === "presses") {
    const tries = test.tries + waiting.reduce((sum, one) => sum + (one.presses || 0), 0), missed = test.failures + waiting.reduce((sum, one) => sum + ((one.presses || 0) - (one.heard || 0)), 0);
    parts.push(element("p", { class: "tally", role: "status" }, `${tries} of ${test.presses} presses`, missed ? `, ${missed} not heard` : ""), dots(tries, missed, test.presses));
    parts.push(element("div", { class: "big" }, element("button", { type: "button", class: "yes", onclick: () => answer(test, { presses: 1, heard: 1, ...(test.pad ? { pad: test.pad } : {}) }) }, "Heard"), element("button", { type: "button", class: "no", onclick: () => answer(test, { presses: 1, heard: 0, ...(test.pad ? { pad: test.pad } : {}) }) }, "Not heard")));
  } else if (test.kind === "check") parts.push(element("div", { class: "big" }, element("button", { type: "button", class: "yes", onclick: () => answer(test, { passed: true }) }, "Yes, so it is"), element("button", { type: "button", class: "no", onclick: () => answer(test, { passed: false }) }, "No")));
  else {
    const input = element("input", { id: "value", inputmode: "decimal", placeholder: `number in ${test.unit}` });
    parts.push(element("form", { class: "row measure", onsubmit: (event) => { event.preventDefault(); event.stopPropagation(); const value = Number(input.value.replace(",", ".")); if (!input.value.trim() || Number.isNaN(value)) say(`A number in ${test.unit} is wanted, as 11.3`, { bad: true }); else answer(test, { value }); } }, element("label", { for: "value" }, `Measured, ${test.unit}`), input, element("button", { class: "main" }, "Enter")));
  }
  if (test.caution) parts.push(element("p", { class: "notice ask" }, test.caution));
  const last = waiting.at(-1);
  parts.push(element("p", { class: `verdict ${{ proven: "holds", refuted: "fails" }[test.proof] || ""}` }, waiting.length ? "" : `${test.proof}. ${test.says}`));
  if (last) parts.push(element("button", { type: "button", class: "plain", onclick: () => { queue.splice(queue.indexOf(last), 1); keep(); told(); draw(); } }, "Take back the last one (not sent yet)"));
  $("#card").replaceChildren(...parts);
}
function dots(tries, missed, wanted) {
  const shown = Math.max(wanted, tries), made = element("div", { class: "dots", "aria-hidden": "true" });
  for (let index = 0; index < Math.min(shown, 120); index++) made.append(element("span", { class: index < tries - missed ? "heard" : index < tries ? "missed" : "" }));
  return made;
}
$("#before").addEventListener("click", () => { at = Math.max(0, at - 1); draw(); });
$("#after").addEventListener("click", () => { at = Math.min(tests.length - 1, at + 1); draw(); });
$("#jump").addEventListener("change", (event) => { at = Number(event.target.value); draw(); });
draw(); told(); flush();
