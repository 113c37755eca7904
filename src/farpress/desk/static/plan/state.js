// What the plan editor knows: the job's plan as last shown, the view, what is chosen; and the one way to change the job.
import { $, root, edit as change } from "../desk.js";

export const svg = $("#plan"), canvas = $("#heat"), board = $("#board"), hint = $("#hint"), pointer = $("#pointer"), panel = $("#chosen");
export const canChange = document.body.dataset.role === "installer";

/** One state for all modules; `data` and `pictures` change together and only in `show`. */
export const state = {
  data: null, pictures: [],
  view: { x: -5, y: -5, s: 12 },
  tool: "select", draft: null, cross: null, build: null,
  chosen: null, grip: null, moving: null, late: false,
  grid: null, kept: null, places: [],
};

// -- who wants to know -------------------------------------------------------------------------
const listeners = { draw: [], inspect: [], map: [], shown: [] };
export const when = (what, does) => listeners[what].push(does);
const tell = (what, given) => listeners[what].forEach((does) => does(given));
export const draw = () => tell("draw");
export const inspect = () => tell("inspect");
export const requestMap = ({ fine }) => tell("map", { fine });

// -- fields of the page --------------------------------------------------------------------------
export const level = () => $("#level").value || null;
export const receiver = () => $("#receiver").value;
export const shows = () => $("#shows").value;
export const presses = () => Number($("#presses").value);
export const premises = () => $("#premises").value;
export const snapStep = () => Number($("#snap").value);
export const at = (...keys) => ["premises", premises(), ...keys];
export const id = (key) => key.join("/");

// -- the job's plan ------------------------------------------------------------------------------
export const get = async (path, parameters = {}) => {
  const answer = await fetch(`${root}/plan/${path}?${new URLSearchParams({ premises: premises(), ...parameters })}`, { headers: { Accept: "application/json" } });
  if (!answer.ok) throw new Error((await answer.json().catch(() => ({}))).says || `The desk answered ${answer.status}.`);
  return answer;
};

let asked = 0, newest = null, wish = {};
/**
 * Fetch the plan and show it. Of several questions under way only the last one's answer is shown, and each waits for it.
 * `choose(data)` names what is to be chosen as soon as the data that holds it is there; `fit` brings all into view.
 */
export function load({ fit = false, choose = null } = {}) {
  wish = { fit: fit || wish.fit, choose: choose || wish.choose };
  newest = fetched(++asked);
  return newest;
}
async function fetched(mine) {
  const answers = Promise.all(["data", "pictures"].map((what) => get(what).then((answer) => answer.json())));
  const [data, pictures] = await answers.catch((error) => { if (mine !== asked) return []; throw error; });
  if (mine !== asked) return newest;
  if (state.grip?.changes || state.moving) { state.late = true; return undefined; } // what is held in the hand stays; the release asks anew
  const { fit, choose } = wish;
  wish = {};
  carry(state.data, data);
  state.data = data; state.pictures = pictures; state.late = false;
  document.body.dataset.fingerprint = data.fingerprint;
  if (choose) state.chosen = choose(data);
  if (state.chosen && !find(state.chosen)) state.chosen = null;
  tell("shown", { fit });
  return undefined;
}

/** A chosen wall stays chosen though another's change has given it another number. */
function carry(before, after) {
  const { chosen } = state, was = before?.walls[chosen?.index];
  if (!was) return;
  const same = (wall) => wall && JSON.stringify(wall.along) === JSON.stringify(was.along);
  if (same(after.walls[chosen.index])) return;
  const index = after.walls.findIndex(same);
  if (index >= 0) state.chosen = { ...chosen, index };
  else if (after.walls.length !== before.walls.length) state.chosen = null;
}

// -- changes ---------------------------------------------------------------------------------------
// A change names walls by their number, so it is judged against the plan it was made on, never against a newer one that
// is not shown yet; only what this page itself has made of that plan since is followed.
let showing = 0, own = { showing: -1, base: "" };
when("shown", () => { showing += 1; });
let turn = Promise.resolve();
/** Save changes, one after the other; the answer says `ok`. */
export function edit(changes, says) {
  const seen = state.data.fingerprint, plan = showing;
  const done = turn.then(async () => {
    const base = own.showing === plan ? own.base : seen;
    const told = await change(changes, says, { base, keep: true });
    if (told.ok) own = told.after === base ? { showing: plan, base: told.fingerprint } : { showing: -1, base: "" };
    return told;
  });
  turn = done.catch(() => {});
  return done;
}

// -- what is on it -----------------------------------------------------------------------------------
export function points() {
  const { data } = state;
  const plain = (kind, list) => list.map((one) => ({ kind, key: [`${kind}s`, one.name, "at"], name: one.name, at: one.at, level: one.level }));
  return [
    ...plain("place", data.places),
    ...plain("device", data.devices),
    ...plain("panel", data.panels),
    ...plain("mount", data.mounts),
    ...plain("junction", data.junctions),
    ...data.supplies.map((one) => ({ kind: "supply", key: ["supplies", one.name, "at"], name: one.name, at: one.at, level: one.level })),
    ...data.receivers.flatMap((one) => [
      { kind: "receiver", key: ["receivers", one.name, "at"], name: one.name, at: one.at, level: one.level },
      ...one.others.map((spot, index) => ({ kind: "aerial", key: ["receivers", one.name, "antenna_places", index, "at"], name: `${one.name}: other place ${index + 1}`, of: one.name, at: spot, other: true })),
      ...(one.aerial ? [{ kind: "aerial", key: ["receivers", one.name, "antenna", "at"], name: `${one.name} aerial${one.tilt ? `, leans ${one.tilt}°` : ""}`, of: one.name, at: one.aerial }] : []),
    ]),
  ];
}

export function find(what) {
  if (what.kind === "wall") return state.data.walls[what.index];
  if (what.kind === "opening") return state.data.walls[what.index]?.openings[what.opening];
  return points().find((one) => id(one.key) === what.id);
}
