// The guided survey: seven short steps; answers are kept on this device until the job is made.
import { $, $$, element, send } from "./desk.js";

const place = $("#survey"), things = JSON.parse(place.dataset.things), sides = place.dataset.sides.split(",");
const SIDES = { front: "in front", back: "behind", left: "to the left", right: "to the right", inside: "inside" };
const KEY = "survey";
let state = { answers: {}, things: [{ kind: "sliding gate", name: "gate", side: "front", away_m: 10 }], groups: [{ name: "family", count: 4, functions: null, kept: "in pocket" }], places: [{ name: "street", side: "front", away_m: 25, pressed: "in car", functions: null, presses: 2, sure: 95 }], nevers: null, step: 0 };
try { state = { ...state, ...JSON.parse(localStorage.getItem(KEY) || "{}") }; } catch { /* nothing kept */ }
const keep = () => { try { localStorage.setItem(KEY, JSON.stringify(state)); } catch { /* private window */ } };
const functionsOf = (list) => list.flatMap((one) => things[one.kind].functions.map(([name]) => name.replace("{}", one.name)));
const functions = () => functionsOf(state.things);
// Nothing is ticked that nobody asked for; what is usual is ticked by a button: the first buttons of a fob; from a place everything, but what moves while a button is held only where it is seen.
const usual = (row) => ("count" in row ? functions().slice(0, 4) : functionsOf(state.things.filter((one) => !things[one.kind].held || one.side === row.side)));
const number = (text) => Number(String(text).replace(",", "."));

let serial = 0;
const labelled = (label, input, help = null) => { input.id = `r${++serial}`; return element("div", { class: "field" }, element("label", { for: input.id }, label), input, help ? element("span", { class: "help" }, help) : null); };
const input = (row, key, kind = "text", does = null) => { const made = element("input", { value: row[key] ?? "", ...(kind === "number" ? { inputmode: "decimal" } : {}) }); made.addEventListener("input", () => { row[key] = kind === "number" ? number(made.value) : made.value; does?.(); keep(); }); return made; };
const select = (row, key, options, does = null) => { const made = element("select", {}, ...options.map(([value, text]) => element("option", { value }, text))); made.value = row[key]; made.addEventListener("change", () => { row[key] = made.value; keep(); does?.(); }); return made; };
const boxes = (row, label, key = "functions") => {
  const all = functions(), chosen = () => (row[key] ?? []).filter((name) => all.includes(name));
  const tickUsual = element("button", { type: "button", class: "plain", onclick: () => { row[key] = usual(row); keep(); render(); } }, "Tick what is usual");
  return element("fieldset", {}, element("legend", {}, label), ...all.map((name) => {
    const box = element("input", { type: "checkbox", checked: chosen().includes(name) });
    box.addEventListener("change", () => { const before = chosen(); row[key] = all.filter((one) => (one === name ? box.checked : before.includes(one))); keep(); });
    return element("label", { class: "tick" }, box, ` ${name}`);
  }), tickUsual);
};
// A thing is called after its kind until somebody gives it a name.
const freeName = (row) => { const stem = row.kind.split(" ").at(-1), others = state.things.filter((one) => one !== row).map((one) => one.name); let name = stem; for (let count = 2; others.includes(name); count++) name = `${stem} ${count}`; return name; };
const drop = (list, index, word) => element("button", { type: "button", class: "plain", onclick: () => { list.splice(index, 1); keep(); render(); } }, `Remove ${word}`);

function render() {
  for (const field of $$("[data-answer]")) if (state.answers[field.dataset.answer] != null) field.value = state.answers[field.dataset.answer];
  if (state.nevers) for (const box of $$("[data-never]")) box.checked = state.nevers.includes(box.dataset.never);
  $("[data-rows=things]").replaceChildren(...state.things.map((row, index) => element("fieldset", { class: "rowset" }, element("legend", {}, `Thing ${index + 1}`), element("div", { class: "fields" },
    labelled("What is it", select(row, "kind", Object.entries(things).map(([key, one]) => [key, one.says]), () => { if (row.named == null) { row.name = freeName(row); keep(); } render(); $(`[data-rows=things]`).children[index].querySelector("select").focus(); })),
    labelled("Called", input(row, "name", "text", () => { row.named = 1; }), "as the customer says it"),
    labelled("Where", select(row, "side", sides.map((one) => [one, SIDES[one]]))),
    labelled("Away from the building, m", input(row, "away_m", "number"))), state.things.length > 1 ? drop(state.things, index, row.name || "it") : null)));
  $("[data-rows=groups]").replaceChildren(...state.groups.map((row, index) => element("fieldset", { class: "rowset" }, element("legend", {}, `Group ${index + 1}`), element("div", { class: "fields" },
    labelled("Called", input(row, "name")), labelled("How many people", input(row, "count", "number")),
    labelled("Where the fob is carried", select(row, "kept", ["in pocket", "in hand", "in car"].map((one) => [one, one])))), boxes(row, "They work, button by button"), state.groups.length > 1 ? drop(state.groups, index, row.name || "it") : null)));
  $("[data-rows=places]").replaceChildren(...state.places.map((row, index) => element("fieldset", { class: "rowset" }, element("legend", {}, `Place ${index + 1}`), element("div", { class: "fields" },
    labelled("Called", input(row, "name")), labelled("Where", select(row, "side", sides.map((one) => [one, SIDES[one]]), () => { render(); $("[data-rows=places]").children[index].querySelector("select").focus(); })), labelled("Away from the building, m", input(row, "away_m", "number"), "inside: away from the front wall"),
    labelled("Pressed", select(row, "pressed", ["in hand", "in pocket", "in car"].map((one) => [one, one]))), labelled("Within how many presses", input(row, "presses", "number")), labelled("How sure, %", input(row, "sure", "number"))), boxes(row, "What has to work from here"), state.places.length > 1 ? drop(state.places, index, row.name || "it") : null)));
}

$("#allnevers").addEventListener("click", () => { for (const box of $$("[data-never]")) box.checked = true; collect(); });
function collect() {
  const answers = {};
  for (const field of $$("[data-answer]")) { const value = field.value.trim(); if (value) answers[field.dataset.answer] = "number" in field.dataset ? number(value) : value; }
  state.answers = answers; state.nevers = $$("[data-never]").filter((one) => one.checked).map((one) => one.dataset.never);
  keep();
  return { ...answers, things: state.things.map(({ named, ...one }) => one), groups: state.groups.map((one) => ({ ...one, functions: (one.functions || []).filter((name) => functions().includes(name)) })), places: state.places.map((one) => ({ ...one, functions: (one.functions || []).filter((name) => functions().includes(name)) })), nevers: state.nevers };
}

function go(step) {
  collect(); state.step = Math.max(0, Math.min(6, step)); keep(); render();
  $$("[data-panel]").forEach((one) => { one.hidden = Number(one.dataset.panel) !== state.step; });
  $$("[data-step]").forEach((one) => { if (Number(one.dataset.step) === state.step) one.setAttribute("aria-current", "step"); else one.removeAttribute("aria-current"); });
  $("#back").disabled = state.step === 0; $("#next").hidden = state.step === 6;
  if (state.step === 6) summary();
  const heading = $(`[data-panel="${state.step}"] h2`); heading.tabIndex = -1; heading.focus({ preventScroll: true }); scrollTo({ top: 0 });
}
async function summary() {
  const answers = collect(), trouble = $("#trouble");
  $("#summary").replaceChildren(element("p", {}, `${answers.name || "The job has no name yet"}: ${functions().length} function${functions().length === 1 ? "" : "s"} (${functions().join(", ")}), ${state.groups.length} group${state.groups.length === 1 ? "" : "s"}, ${state.places.length} place${state.places.length === 1 ? "" : "s"}.`));
  const told = await send("/new", { answers, only: "check" });
  trouble.hidden = told.ok; if (!told.ok) trouble.textContent = [told.says, ...(told.faults || []).map((one) => one.says)].join(" ");
}
$("#make").addEventListener("click", async (event) => {
  event.target.disabled = true;
  const told = await send("/new", { answers: collect() });
  event.target.disabled = false;
  if (told.ok) { localStorage.removeItem(KEY); location.href = told.go; } else { $("#trouble").hidden = false; $("#trouble").textContent = [told.says, ...(told.faults || []).map((one) => one.says)].join(" "); }
});
const NEW = { things: () => { const row = { kind: "door", side: "front", away_m: 8 }; row.name = freeName(row); return row; }, groups: () => ({ name: `group ${state.groups.length + 1}`, count: 1, functions: null, kept: "in pocket" }), places: () => ({ name: `place ${state.places.length + 1}`, side: "front", away_m: 5, pressed: "in hand", functions: null, presses: 2, sure: 95 }) };
$$("[data-more]").forEach((one) => one.addEventListener("click", () => { state[one.dataset.more].push(NEW[one.dataset.more]()); keep(); render(); $$(`[data-rows=${one.dataset.more}] fieldset.rowset`).at(-1).querySelector("select, input").focus(); }));
$$("[data-step]").forEach((one) => one.addEventListener("click", () => go(Number(one.dataset.step))));
$("#next").addEventListener("click", () => go(state.step + 1)); $("#back").addEventListener("click", () => go(state.step - 1));
document.addEventListener("submit", (event) => { if (event.target.id === "surveyform") { event.preventDefault(); go(state.step + 1); } });
render(); go(state.step);
