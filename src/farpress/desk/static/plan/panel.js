// The panel beside the plan: metric entry for what is chosen or being drawn, and the list of everything on it.
import { $, root, element, say } from "../desk.js";
import { state, svg, panel, canChange, when, draw, inspect, edit, load, find, points, at, id, premises } from "./state.js";
import { metres, round, distance, length, measure, together } from "./geometry.js";
import { use, drawing, addPoint, finish, backOnePoint } from "./tools.js";
import { lastBuild } from "./drawn.js";
import { field, formed, coaxForm, details, isAsking, answered } from "./forms.js";

when("inspect", () => {
  if (!state.data) return;
  answered();
  if (drawing()) { panel.replaceChildren(nextLength(drawing())); return; }
  if (state.tool === "budget" && panel.dataset.budget) return;
  delete panel.dataset.budget;
  const thing = state.chosen && find(state.chosen);
  if (!thing) { panel.replaceChildren(...underlays()); return; }
  const shown = { wall: wallPanel, opening: openingPanel }[state.chosen.kind] || pointPanel;
  panel.replaceChildren(element("div", { class: "paper" }, ...shown(thing, state.chosen)));
});
when("shown", () => { if (!isAsking()) inspect(); listAll(); });

const button = (label, does, cls = "") => element("button", { type: "button", class: cls, onclick: does }, label);
async function save(changes, says, { choose = null } = {}) {
  const told = await edit(changes, says);
  if (told.ok) await load({ choose });
}
const put = (key, value, says) => save([{ path: at(...key), value }], says);

function builds(first = []) {
  return element("select", { disabled: !canChange }, ...first, ...state.data.builds.map((one) => element("option", { value: one.name }, `${one.name} (${Math.round(one.loss)} dB)`)));
}

/** A field for a number of metres; `does` gets the number, or null where it was emptied. */
function number(label, value, does) {
  const input = element("input", { value: value ?? "", inputmode: "decimal", disabled: !canChange });
  input.addEventListener("change", () => {
    const text = input.value.trim(), made = measure(text.replace(/\s*m$/, ""));
    if (text && Number.isNaN(made)) say("A number in metres is wanted, as 12.35", { bad: true });
    else does(text ? made : null);
  });
  return field(label, input);
}

// -- what is being drawn -----------------------------------------------------------------------------
function nextLength({ title }) {
  const long = element("input", { inputmode: "decimal", placeholder: "as 4.20, or 4.20 3.00 for east and north" }), parts = [];
  if (state.tool === "wall") {
    const kind = builds();
    kind.value = lastBuild();
    kind.addEventListener("change", () => { state.build = kind.value; });
    parts.push(field("Build", kind));
  }
  parts.push(field("Next length, m, in the direction of the pointer", long), element("p", { class: "row" }, button("Back one point", backOnePoint), button("End it", finish, "main"), button("Leave", () => use("select"))));
  return formed(title, parts, async () => {
    const numbers = long.value.trim().split(/[\s;]+/).filter(Boolean).map(measure), { draft } = state;
    if (!numbers.length || numbers.length > 2 || numbers.some(Number.isNaN)) { say("A length in metres, as 4.20; or two numbers: to the east and to the north.", { bad: true }); return; }
    const from = draft.points.at(-1) || [0, 0];
    let next = [from[0] + numbers[0], from[1] + (numbers[1] || 0)];
    if (numbers.length === 1 && draft.hover && draft.points.length) {
      const far = distance(from, draft.hover) || 1;
      next = [0, 1].map((axis) => from[axis] + ((draft.hover[axis] - from[axis]) / far) * numbers[0]);
    }
    await addPoint(next.map((one) => round(one, 0.001)));
    $("input", panel)?.focus();
  });
}

// -- what is chosen ------------------------------------------------------------------------------------
function wallPanel(wall, { index }) {
  const kind = builds();
  kind.value = wall.build;
  kind.addEventListener("change", () => { state.build = kind.value; put(["walls", index, "build"], kind.value, `wall of ${kind.value}`); });
  const move = (point, axis, value) => save(together(wall.along, point).map((one) => ({ path: at("walls", index, "along", one, axis), value })), "wall moved");
  const corner = (point, axis, word) => number(`Point ${point + 1}, ${word}`, wall.along[point][axis], (value) => { if (value != null) move(point, axis, value); });
  return [
    element("h3", {}, `Wall ${index + 1}, ${metres(round(length(wall.along), 0.01))}`),
    field("Build", kind),
    ...wall.along.flatMap((spot, point) => (together(wall.along, point)[0] === point ? [element("div", { class: "fields" }, corner(point, 0, "east"), corner(point, 1, "north"))] : [])),
    foot(["walls", index], "wall"),
  ];
}

function openingPanel(one, { index, opening }) {
  const key = ["walls", index, "openings", opening], kind = builds([element("option", { value: "" }, "open passage")]);
  kind.value = one.build || "";
  kind.addEventListener("change", () => put([...key, "build"], kind.value || null, "what fills the opening"));
  const fields = [["from", "From the wall's first point, m"], ["width", "Width, m"], ["sill", "Sill over the floor, m"], ["head", "Head over the floor, m"]];
  const shown = fields.map(([name, label]) => number(label, one[name], (value) => put([...key, name], value == null ? null : metres(value), `opening: ${name}`)));
  return [element("h3", {}, "Opening"), field("Filled with", kind), element("div", { class: "fields" }, ...shown), foot(key, "opening")];
}

function pointPanel(thing) {
  const spot = thing.at;
  const move = (axis, value) => {
    if (axis === 2) put(thing.key, value == null ? spot.slice(0, 2) : [spot[0], spot[1], value], `${thing.name}: height`);
    else if (value != null) put([...thing.key, axis], value, `${thing.name} moved`);
  };
  const parts = [element("h3", {}, thing.name), element("div", { class: "fields" }, ...["East, m", "North, m", "Height over the plan's zero, m"].map((label, axis) => number(label, spot[axis], (value) => move(axis, value))))];
  if (thing.kind === "aerial") parts.push(thing.other ? element("p", {}, button("Let the aerial stand here", () => standHere(thing))) : coaxForm(thing, save));
  return [...parts, foot(thing.key.slice(0, -1), thing.kind)];
}

function foot(key, word) {
  const remove = button("Remove", async () => { state.chosen = null; await put(key, null, `${word} removed`); }, "stop");
  return element("p", { class: "row between" }, canChange ? remove : null, button("All details", () => details(key)));
}

async function standHere(thing) {
  const index = Number(thing.key[3]);
  const told = await (await fetch(`${root}/plan/aerialplace?${new URLSearchParams({ premises: premises(), receiver: thing.of, index })}`)).json();
  await put(["receivers", thing.of, "antenna"], told.entry, `aerial of ${thing.of} at its other place ${index + 1}`);
}

function underlays() {
  const { pictures } = state;
  if (!pictures.length || !canChange) return [];
  return [element("p", { class: "row" }, button("Scale of the picture", () => use("scale")), ...pictures.map((one) => button(`Remove picture ${one.index + 1}`, () => put(["underlays", one.index], null, "picture removed"))))];
}

// -- everything, for eyes and ears ---------------------------------------------------------------------
function listAll() {
  const { data } = state;
  const row = (label, chosen) => element("li", {}, button(label, () => { state.chosen = chosen; use("select"); svg.focus(); }, "plain"));
  $("#list").replaceChildren(
    ...data.forbidden.map((one) => element("li", {}, `${one.name ? `${one.name}: ` : ""}${one.says}`)),
    ...points().map((one) => row(`${one.kind} ${one.name}`, { kind: one.kind, id: id(one.key) })),
    ...data.walls.map((wall, index) => row(`wall ${index + 1}, ${wall.build}${wall.level ? `, ${wall.level}` : ""}`, { kind: "wall", index })),
  );
}
