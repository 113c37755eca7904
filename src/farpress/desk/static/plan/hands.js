// The plan under the hand: mouse, pen and fingers alike; what is dragged is shown at once and saved when it is let go.
import { $ } from "../desk.js";
import { state, svg, pointer, canChange, draw, inspect, requestMap, edit, load, points, at, id, receiver } from "./state.js";
import { size, world, snapped, round, fitAll, together } from "./geometry.js";
import { addPoint, finish } from "./tools.js";
import { otherReceiver } from "./maps.js";
import { inWords } from "./variants.js";

const STILL = 4; // points of the screen under which a press is a click
const fingers = new Map();
let pinch = null;
const spotOf = (event) => { const box = svg.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };

svg.addEventListener("pointerdown", (event) => {
  if (event.button > 1 || !state.data) return;
  svg.focus({ preventScroll: true });
  try { svg.setPointerCapture(event.pointerId); } catch { /* gone already */ }
  const spot = spotOf(event), begun = { spot, view: { ...state.view }, moved: false, at: world(...spot) };
  fingers.set(event.pointerId, spot);
  if (fingers.size === 2) { beginPinch(); return; }
  const hit = chosenUnder(event) ?? event.target.closest("[data-handle], [data-point], [data-opening], [data-wall]");
  if (state.tool !== "select" || !hit || event.button !== 0) { state.grip = { ...begun, kind: "pan", tap: state.tool !== "select", hit }; return; }
  state.grip = { ...begun, ...taken(hit.dataset) };
  const { chosen } = state, name = chosen?.id?.split("/")[1];
  if ((chosen?.kind === "receiver" || chosen?.kind === "aerial") && receiver() !== name) { $("#receiver").value = name; otherReceiver(); }
  inspect();
  draw();
});

/** What is chosen already, where it lies under the pointer too: of two things in one place that one is meant. */
function chosenUnder(event) {
  const wanted = state.chosen?.id;
  return wanted == null ? null : document.elementsFromPoint(event.clientX, event.clientY).map((part) => part.closest("[data-point]")).find((part) => part?.dataset.point === wanted) ?? null;
}

/** Choose what lies under the pointer; answers what a drag does with it. */
function taken({ handle, point, opening, wall }) {
  const { data } = state;
  if (handle != null && state.chosen?.kind === "wall") return { kind: "handle", index: state.chosen.index, point: Number(handle), points: together(data.walls[state.chosen.index].along, Number(handle)), shape: [...data.walls[state.chosen.index].along] };
  if (point) {
    const one = points().find((each) => id(each.key) === point);
    if (one) { state.chosen = { kind: one.kind, id: point }; return { kind: "point", one, id: point }; }
  } else if (opening) {
    const [index, number] = opening.split("/").map(Number);
    state.chosen = { kind: "opening", index, opening: number };
  } else if (wall && data.walls[wall]) {
    state.chosen = { kind: "wall", index: Number(wall) };
    return { kind: "wall", index: Number(wall), original: data.walls[wall].along };
  }
  return { kind: "pan", hit: true };
}

svg.addEventListener("pointermove", (event) => {
  if (!state.data) return;
  const spot = spotOf(event), here = world(...spot), { grip, draft } = state;
  if (fingers.has(event.pointerId)) fingers.set(event.pointerId, spot);
  if (pinch && fingers.size === 2) { movePinch(); return; }
  if (grip) {
    if (Math.hypot(spot[0] - grip.spot[0], spot[1] - grip.spot[1]) > STILL) grip.moved = true;
    if (!grip.moved) return;
    drag(grip, spot, here, event.altKey);
    draw();
  } else if (draft) {
    draft.hover = snapped(here, { from: draft.points.at(-1) });
    draw();
  }
  if (event.pointerType === "mouse" || grip) pointer.textContent = `${here[0].toFixed(2)}, ${here[1].toFixed(2)} m${inWords(here)}`;
});

function drag(grip, spot, here, isFree) {
  const { view } = state;
  if (grip.kind === "pan") {
    view.x = grip.view.x - (spot[0] - grip.spot[0]) / view.s;
    view.y = grip.view.y + (spot[1] - grip.spot[1]) / view.s;
    return;
  }
  if (!canChange) return;
  grip.changes = true;
  if (grip.kind === "point") {
    const to = snapped(here, { free: isFree });
    state.moving = { id: grip.id, one: grip.one, to: [to[0], to[1], ...grip.one.at.slice(2)] };
    if (grip.one.kind === "aerial" || grip.one.kind === "receiver") requestMap({ fine: false });
  } else if (grip.kind === "handle") {
    const neighbour = grip.shape[grip.point - 1] || grip.shape[grip.point + 1];
    const spot = snapped(here, { from: neighbour });
    for (const point of grip.points) grip.shape[point] = spot;
  } else {
    const [dx, dy] = [0, 1].map((axis) => round(here[axis] - grip.at[axis]));
    grip.shape = grip.original.map((one) => [round(one[0] + dx, 0.001), round(one[1] + dy, 0.001), ...one.slice(2)]);
  }
}

async function release(event) {
  fingers.delete(event.pointerId);
  if (fingers.size < 2 && pinch) { pinch = null; requestMap({ fine: true }); return; }
  const held = state.grip;
  state.grip = null;
  if (!held) return;
  if (held.changes) { await put(held); return; }
  if (held.kind !== "pan") return;
  if (held.moved) requestMap({ fine: true });
  else if (held.tap) await addPoint(snapped(world(...spotOf(event)), { from: state.draft?.points.at(-1), free: state.tool === "budget" }));
  else { state.chosen = held.hit ? state.chosen : null; inspect(); draw(); }
}

/** Save what was dragged; it stays where it was let go until the job's plan comes back. */
async function put(held) {
  const { data, moving } = state;
  if (held.kind === "point") {
    state.moving = null;
    if (moving) await moved(moving);
  } else if (held.shape) {
    const path = (point, axis) => at("walls", held.index, "along", point, axis);
    const which = held.kind === "handle" ? held.points : held.shape.map((spot, point) => point);
    const changes = which.flatMap((point) => [0, 1].map((axis) => ({ path: path(point, axis), value: held.shape[point][axis] })));
    data.walls[held.index].along = held.shape;
    await edit(changes, held.kind === "handle" ? "wall changed" : "wall moved");
  }
  await load();
}

/** Save a thing at its new spot. */
export async function moved({ one, to }) {
  const changes = [0, 1].filter((axis) => to[axis] !== one.at[axis]).map((axis) => ({ path: at(...one.key, axis), value: to[axis] }));
  one.at.splice(0, 2, to[0], to[1]);
  if (changes.length) await edit(changes, `${one.name} moved`);
}

svg.addEventListener("pointerup", release);
svg.addEventListener("pointercancel", (event) => {
  fingers.delete(event.pointerId);
  state.grip = null; state.moving = null; pinch = null;
  load();
});
svg.addEventListener("dblclick", () => { if (state.draft?.points.length > 1) finish(); });

// -- nearer and farther ------------------------------------------------------------------------------
function beginPinch() {
  const { far, middle } = span();
  pinch = { far, s: state.view.s, middle: world(...middle) };
  state.grip = null; state.moving = null;
  if (state.late) load();
}
function movePinch() {
  const { far, middle } = span();
  zoomTo(pinch.s * (far / pinch.far), pinch.middle, middle);
}
function span() {
  const [a, b] = [...fingers.values()];
  return { far: Math.max(1, Math.hypot(a[0] - b[0], a[1] - b[1])), middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] };
}
function zoomTo(s, fixed, [X, Y]) {
  const { view } = state;
  view.s = Math.min(600, Math.max(0.05, s));
  view.x = fixed[0] - X / view.s;
  view.y = fixed[1] - (size().h - Y) / view.s;
  draw();
}
/** Nearer or farther round the middle of the plan. */
export function zoom(factor) {
  const { w, h } = size();
  zoomTo(state.view.s * factor, world(w / 2, h / 2), [w / 2, h / 2]);
  requestMap({ fine: true });
}
let later = 0;
svg.addEventListener("wheel", (event) => {
  event.preventDefault();
  const spot = spotOf(event);
  zoomTo(state.view.s * Math.exp(-event.deltaY * 0.0016), world(...spot), spot);
  clearTimeout(later);
  later = setTimeout(() => requestMap({ fine: true }), 250);
}, { passive: false });
$("#closer").addEventListener("click", () => zoom(1.4));
$("#farther").addEventListener("click", () => zoom(1 / 1.4));
$("#whole").addEventListener("click", () => { if (!state.data) return; fitAll(); draw(); requestMap({ fine: true }); });
