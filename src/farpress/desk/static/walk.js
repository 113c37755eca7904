// The walk with a phone: one big yes or no for each press. Every answer is kept on the phone first and sent
// when there is a connection; each has an id of its own, so that one that arrives twice counts once.
import { $, element, say, root } from "./desk.js";
import { add, isLost, onQueue, send, takeBack, waiting } from "./queue.js";

const tests = JSON.parse($("#walk").dataset.tests), KEY = `walk ${root}`;
let at = 0;
try { at = Math.max(0, Math.min(tests.length - 1, Number(sessionStorage.getItem(`${KEY} at`) || 0))); } catch { at = 0; }
const ident = () => `${Date.now().toString(36)}-${crypto.getRandomValues(new Uint32Array(2)).join("-")}`;
const waitingFor = (test) => waiting().filter((one) => one.test === test.id);
const told = () => { const place = $("#queue"), count = waiting().length; place.textContent = count ? `${count} kept on this phone, not sent yet` : "everything sent"; place.classList.toggle("thin", count > 0); };

function answer(test, values) {
  if (navigator.vibrate) navigator.vibrate(30);
  if ($("#value")) $("#value").value = "";
  add({ id: ident(), test: test.id, ...values });
}
onQueue(({ job, tests: news }) => {
  for (const [id, test] of Object.entries(job === root ? news : {})) { const index = tests.findIndex((one) => one.id === id); if (index >= 0) tests[index] = test; }
  if (job === root && !waiting().length) keepPage();
  if (!$("#value")?.value) draw(); // what is being typed stays
  told();
});

// Without a connection a page that is loaded again is lost (the answers are not): ask first, where nothing keeps the page.
const keeper = navigator.serviceWorker;
addEventListener("beforeunload", (event) => { if (!keeper?.controller && (waiting().length || isLost())) event.preventDefault(); });
// Where the browser allows it (on this machine, or encrypted with a certificate it trusts) the page itself is kept as well.
keeper?.register("/static/walk-keeper.js", { scope: `${root}/proving/walk` }).catch(() => {});
let asked = 0;
function keepPage() { clearTimeout(asked); asked = setTimeout(() => keeper?.controller?.postMessage("keep"), 1500); }
keepPage();
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
  if (last) parts.push(element("button", { type: "button", class: "plain", onclick: () => takeBack(last.id) }, "Take back the last one (not sent yet)"));
  const focus = $("#card").contains(document.activeElement) ? document.activeElement.className : "";
  $("#card").replaceChildren(...parts);
  if (focus) $(`#card .${focus.split(" ")[0]}`)?.focus({ preventScroll: true }); // who works by keys presses the same again
}
function dots(tries, missed, wanted) {
  const shown = Math.max(wanted, tries), made = element("div", { class: "dots", "aria-hidden": "true" });
  for (let index = 0; index < Math.min(shown, 120); index++) made.append(element("span", { class: index < tries - missed ? "heard" : index < tries ? "missed" : "" }));
  return made;
}
$("#before").addEventListener("click", () => { at = Math.max(0, at - 1); draw(); });
$("#after").addEventListener("click", () => { at = Math.min(tests.length - 1, at + 1); draw(); });
$("#jump").addEventListener("change", (event) => { at = Number(event.target.value); draw(); });
draw(); told(); send();
