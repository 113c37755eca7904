// The plan by keys alone: arrows move a cross or the chosen thing, space sets a point, a letter takes up a tool.
import { $ } from "../desk.js";
import { state, svg, hint, panel, canChange, draw, requestMap, load, find, snapStep } from "./state.js";
import { size, world, round } from "./geometry.js";
import { use, drawing, addPoint, finish, backOnePoint } from "./tools.js";
import { moved, zoom } from "./hands.js";
import { inWords } from "./variants.js";

const TOOLS = { v: "select", w: "wall", o: "opening", l: "level", s: "slab", p: "place", r: "receiver", a: "aerial", c: "cable", t: "mount", g: "origin", m: "measure", b: "budget" };
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const REST = 700; // ms after the last arrow until a thing is saved where it stands

svg.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || !state.data) return;
  const does = ARROWS[event.key] ? arrow : KEYS[event.key], tool = TOOLS[event.key.toLowerCase()];
  if (does) does(event);
  else if (tool && $(`[data-tool="${tool}"]`)) use(tool);
});

const KEYS = {
  " ": (event) => { if (!state.cross) return; event.preventDefault(); addPoint([...state.cross]); },
  Enter: (event) => {
    event.preventDefault();
    if (drawing() && state.draft.points.length > 1) finish();
    else if (state.cross && state.tool !== "select") addPoint([...state.cross]);
  },
  Escape: () => { state.chosen = null; use("select"); },
  Backspace: () => { if (state.draft) backOnePoint(); },
  Delete: () => { if (state.chosen && canChange) $("button.stop", panel)?.click(); },
  "+": () => zoom(1.4), "=": () => zoom(1.4), "-": () => zoom(1 / 1.4),
};

function arrow(event) {
  event.preventDefault();
  const step = snapStep() * (event.shiftKey ? 10 : 1), by = ARROWS[event.key].map((one) => one * step);
  const thing = state.tool === "select" && state.chosen?.id ? find(state.chosen) : null;
  if (thing && canChange) moveThing(thing, by);
  else moveCross(by);
}

function moveCross([dx, dy]) {
  const { w, h } = size();
  state.cross ||= world(w / 2, h / 2).map((one) => round(one));
  state.cross = [round(state.cross[0] + dx, 0.001), round(state.cross[1] + dy, 0.001)];
  if (state.draft) state.draft.hover = state.cross;
  hint.textContent = `${state.cross[0].toFixed(2)}, ${state.cross[1].toFixed(2)} m${inWords(state.cross)}`;
  draw();
}

let later = 0;
function moveThing(thing, [dx, dy]) {
  const { moving, chosen } = state, isSame = moving?.id === chosen.id, from = isSame ? moving.to : thing.at;
  state.moving = { id: chosen.id, one: isSame ? moving.one : thing, to: [round(from[0] + dx, 0.001), round(from[1] + dy, 0.001), ...thing.at.slice(2)] };
  draw();
  requestMap({ fine: false });
  clearTimeout(later);
  later = setTimeout(settle, REST);
}
async function settle() {
  const { moving } = state;
  if (!moving) return;
  state.moving = null;
  await moved(moving);
  await load();
  svg.focus();
}
