// Reach over the plan: coarse at once while something is dragged, fine when it rests; and from each place in a table.
import { $, root, element, say } from "../desk.js";
import { state, board, panel, when, draw, requestMap, get, load, level, receiver, shows, presses, premises } from "./state.js";
import { size, world } from "./geometry.js";
import { isShown } from "./variants.js";
import { fobs } from "./bar.js";
import { LEAST_DB, MOST_DB, legend } from "../reach.js";

const FINE = 6400, COARSE = 700; // cells
let running = null, wanted = null, later = 0;

when("map", async ({ fine }) => {
  if (!isShown() || !state.data) return;
  if (!state.data.receivers.length) { $("#mapstate").textContent = "Draw a receiver to see its reach."; return; }
  if (running) {
    if (!fine && running.fine) running.control.abort(); // a fine map of a place that is left already
    wanted = { fine: fine || ((wanted?.fine ?? false) && !state.moving) };
    return;
  }
  running = { fine, control: new AbortController() };
  const wait = await fetchMap(running).catch((error) => { if (error.name !== "AbortError") $("#mapstate").textContent = "The map could not be drawn."; return 0; });
  running = null;
  draw();
  clearTimeout(later);
  if (wait) later = setTimeout(() => requestMap({ fine: true }), wait);
  else if (wanted) { const next = wanted; wanted = null; requestMap(next); }
  else if (!fine) later = setTimeout(() => requestMap({ fine: true }), 180);
});

/** Fetch one map of what is in view; answers how many milliseconds to wait where the desk is not ready, else 0. */
async function fetchMap({ fine, control }) {
  const { w, h } = size(), [left, low] = world(0, h), [right, high] = world(w, 0), aspect = w / h, begun = performance.now();
  const rows = Math.max(4, Math.round(Math.sqrt((fine ? FINE : COARSE) / aspect))), columns = Math.max(4, Math.round(rows * aspect));
  const shifted = shiftedAerial();
  const question = { premises: premises(), receiver: receiver(), level: level() || "", left, low, right, high, columns, rows, presses: presses(), shows: shows(), group: $("#group").value, held: $("#held").value, ...(shifted ? { aerial: shifted.join(",") } : {}) };
  const told = await (await fetch(`${root}/plan/map?${new URLSearchParams(question)}`, { headers: { Accept: "application/json" }, signal: control.signal })).json();
  const place = $("#mapstate");
  if (told.wait) {
    state.grid = null;
    if (place.textContent !== told.says) place.textContent = told.says;
    return 1000;
  }
  if (told.shares) {
    const share = shows() === "level" ? (one) => (one == null ? -1 : Math.max(0, Math.min(1, (one - LEAST_DB) / (MOST_DB - LEAST_DB)))) : (one) => (one < 0 ? -1 : one / 1000);
    state.grid = { left, low, right, high, shows: shows(), promises: told.promises, values: told.shares.map((row) => row.map(share)) };
    board.dataset.map = `${fine ? "fine" : "coarse"} ${Math.round(performance.now() - begun)}`;
    place.textContent = `fob of ${told.group} at ${told.receivers.join(", ")}${shows() === "kept" ? `: ${told.promises} of its promises` : ""}${told.notes.length ? `; ${told.notes[0]}` : ""}`;
  } else {
    state.grid = null;
    place.textContent = told.says || "";
  }
  board.dataset.maps = Number(board.dataset.maps || 0) + 1;
  return 0;
}

/** Where the aerial of the shown receiver is being dragged to, or null. */
function shiftedAerial() {
  const { moving, data } = state;
  if (moving?.one.kind === "aerial") return moving.one.of === receiver() ? moving.to : null;
  const box = moving?.one.kind === "receiver" && data.receivers.find((each) => each.name === moving.one.name);
  return box && box.name === receiver() && !box.aerial ? moving.to : null; // an aerial inside moves with its receiver
}

// -- from each place -----------------------------------------------------------------------------------
let asked = 0;
async function placesTable() {
  const place = $("#places"), mine = ++asked;
  if (!state.data.receivers.length) { place.replaceChildren(); return; }
  const list = await (await get("places", { receiver: receiver() })).json();
  if (mine !== asked) return;
  const worst = new Map(), short = (one) => (one.share ?? -1) - one.atLeast;
  for (const one of list) { const there = worst.get(one.place); if (!there || short(one) < short(there)) worst.set(one.place, one); }
  state.places = [...worst.values()];
  const had = state.kept?.receiver === receiver() ? new Map(state.kept.places.map((one) => [one.place, one])) : null;
  const heads = ["Place", ...(had ? ["A"] : []), "Heard", "Promised"].map((word) => element("th", { scope: "col" }, word));
  const rows = state.places.map((one) => {
    const verdict = one.share == null ? "unknown" : one.share < one.atLeast ? "fails" : "holds";
    return element("tr", {},
      element("td", {}, receiver() ? one.place : `${one.place} (${one.receiver.split("/").at(-1)})`),
      had ? element("td", { class: "number" }, percent(had.get(one.place)?.share)) : null,
      element("td", { class: `number ${verdict}` }, `${percent(one.share)}${verdict === "fails" ? " too little" : ""}`),
      element("td", { class: "number" }, percent(one.atLeast)));
  });
  place.replaceChildren(element("table", {}, element("caption", {}, "From each place"), element("thead", {}, element("tr", {}, ...heads)), element("tbody", {}, ...rows)));
}
const percent = (value) => (value == null ? "unknown" : `${value > 0.995 ? "> 99" : Math.round(value * 100)} %`);

/** Everything that counts on the way from one spot to the aerial, in the panel. */
export async function budgetAt(spot) {
  const answer = await get("budget", { receiver: receiver(), x: spot[0], y: spot[1], level: level() || "" }).catch((error) => say(error.message, { bad: true }));
  if (!answer) return;
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  panel.dataset.budget = "1";
  panel.replaceChildren(...made.body.childNodes);
  panel.scrollIntoView({ block: "nearest" });
}

// -- what is asked for in the bar ---------------------------------------------------------------------
export function otherReceiver() {
  fobs();
  requestMap({ fine: true });
  return placesTable();
}
when("shown", ({ fit }) => { requestMap({ fine: !fit }); placesTable(); });
function otherShown() {
  $("#presses-box").hidden = shows() !== "chance";
  legend($("#legend"), shows());
  if (state.kept && state.kept.shows !== shows()) { forget(); say("Variant A showed something else; keep it anew to compare."); }
  requestMap({ fine: true });
}
$("#shows").addEventListener("change", otherShown);
for (const name of ["#group", "#held"]) $(name).addEventListener("change", () => requestMap({ fine: true }));
for (const name of ["#show-map", "#level", "#compare"]) $(name).addEventListener("change", () => { draw(); requestMap({ fine: true }); });
$("#receiver").addEventListener("change", otherReceiver);
$("#keep").addEventListener("click", () => {
  if (!state.grid) return;
  state.kept = { grid: state.grid, shows: shows(), presses: presses(), receiver: receiver(), places: state.places };
  $("#compare-box").hidden = false;
  say("This is variant A now. Change something, then look at the difference.");
  placesTable();
});
function forget() {
  state.kept = null;
  $("#compare").value = "now";
  $("#compare-box").hidden = true;
}
$("#presses").addEventListener("change", () => {
  if (state.kept && state.kept.presses !== presses()) {
    forget();
    say("Variant A was of another number of presses; keep it anew to compare.");
    placesTable();
  }
  requestMap({ fine: true });
});
$("#premises").addEventListener("change", () => {
  const where = new URL(location.href);
  where.searchParams.set("premises", premises());
  history.replaceState(null, "", where);
  state.chosen = null; state.grid = null;
  forget();
  load({ fit: true });
});
