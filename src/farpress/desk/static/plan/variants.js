// Which reach is shown: as it is now, as it was kept (variant A), or the difference of both.
import { $ } from "../desk.js";
import { contours, shareAt, decibels } from "../reach.js";
import { state, presses } from "./state.js";

const UNKNOWN = -9;
export const comparing = () => Boolean(state.kept) && $("#compare").value === "difference";
export const isShown = () => $("#show-map").checked;

/** The grid of shares that is shown, or null. */
export function shownGrid() {
  const which = state.kept ? $("#compare").value : "now";
  if (which === "A") return state.kept.grid;
  return which === "difference" && state.grid ? difference(state.grid, state.kept.grid) : state.grid;
}

function difference(now, before) {
  const values = now.values.map((row, y) => row.map((value, x) => {
    const spot = [now.left + ((x + 0.5) * (now.right - now.left)) / row.length, now.low + ((y + 0.5) * (now.high - now.low)) / now.values.length];
    const was = shareAt(before, spot);
    return value < 0 || was == null ? UNKNOWN : value - was;
  }));
  return { ...now, difference: true, values };
}

let cache = { of: null, presses: 0, list: [] };
export function shownContours() {
  if (!isShown() || !state.grid || comparing()) return [];
  const of = shownGrid();
  if (cache.of !== of || cache.presses !== presses()) cache = { of, presses: presses(), list: contours(of, presses()) };
  return cache.list;
}

/** The share at a spot in words, or "" where nothing is known or shown. */
export function inWords(spot) {
  const share = isShown() ? shareAt(shownGrid(), spot) : null;
  if (share == null) return "";
  if (state.grid?.shows === "level") return comparing() ? "" : ` · ${decibels(share)}`;
  if (comparing()) return ` · ${share > 0 ? "+" : ""}${Math.round(share * 100)} % against A`;
  if (state.grid?.shows === "kept") return ` · ${Math.round(share * state.grid.promises)} of ${state.grid.promises} promises kept`;
  const percent = share > 0.995 ? "over 99" : Math.round(share * 100);
  return ` · ${percent} % ${presses() === 1 ? "of single presses heard" : `heard within ${presses()} presses`}`;
}
