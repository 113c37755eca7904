// Metres of the plan and points of the screen; lengths, snapping, what lies where.
import { state, board, snapStep, level, points } from "./state.js";

export const size = () => ({ w: board.clientWidth, h: board.clientHeight });
export const px = ([x, y]) => [(x - state.view.x) * state.view.s, size().h - (y - state.view.y) * state.view.s];
export const world = (X, Y) => [X / state.view.s + state.view.x, (size().h - Y) / state.view.s + state.view.y];
export const round = (value, step = snapStep()) => Math.round(Math.round(value / step) * step * 1000) / 1000;
export const metres = (value) => `${Math.round(value * 1000) / 1000} m`;
export const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
export const length = (list) => list.slice(1).reduce((sum, spot, index) => sum + distance(list[index], spot), 0);
/** A number as a person writes it, with point or comma; NaN where it is none. */
export const measure = (text) => (String(text).trim() ? Number(String(text).trim().replace(",", ".")) : NaN);

const corners = () => state.data.walls.flatMap((wall) => wall.along);

/** The spot on the grid, on a corner near by, or straight on from `from`. */
export function snapped(spot, { from = null, free = false } = {}) {
  if (free) return spot;
  const near = corners().find((one) => distance(one, spot) * state.view.s < 11);
  if (near) return [near[0], near[1]];
  const made = [round(spot[0]), round(spot[1])];
  if (from) {
    const dx = Math.abs(made[0] - from[0]), dy = Math.abs(made[1] - from[1]);
    if (dx && dy / dx < 0.06) made[1] = from[1];
    else if (dy && dx / dy < 0.06) made[0] = from[0];
  }
  return made;
}

/** The numbers of the corners that are one with a corner: first and last of a wall that closes are the same spot. */
export function together(list, point) {
  const last = list.length - 1, isClosed = last > 1 && distance(list[0], list[last]) < 1e-6;
  return isClosed && (point === 0 || point === last) ? [0, last] : [point];
}

/** Both ends of a piece of a wall, counted along it; null where the wall is shorter. */
export function along(wall, from, width) {
  const ends = [];
  for (const target of [from, from + width]) {
    let run = 0;
    for (let i = 1; i < wall.along.length; i++) {
      const [a, b] = [wall.along[i - 1], wall.along[i]], step = distance(a, b);
      if (target <= run + step + 1e-6) {
        const t = step ? (target - run) / step : 0;
        ends.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
        break;
      }
      run += step;
    }
  }
  return ends.length === 2 ? ends : null;
}

/** The wall of this level nearest to a spot: its number, how far off, and how far along it. */
export function nearestWall(spot) {
  let best = null;
  state.data.walls.forEach((wall, index) => {
    if (wall.level && wall.level !== level()) return;
    let run = 0;
    for (let i = 1; i < wall.along.length; i++) {
      const [a, b] = [wall.along[i - 1], wall.along[i]], long = distance(a, b);
      if (!long) continue;
      const t = Math.max(0, Math.min(1, ((spot[0] - a[0]) * (b[0] - a[0]) + (spot[1] - a[1]) * (b[1] - a[1])) / long ** 2));
      const off = distance(spot, [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
      if (!best || off < best.off) best = { index, off, from: run + t * long };
      run += long;
    }
  });
  return best;
}

export function insideLevel(spot) {
  const list = state.data.walls.filter((wall) => wall.level === level()).flatMap((wall) => wall.along);
  if (!list.length) return false;
  const xs = list.map((one) => one[0]), ys = list.map((one) => one[1]);
  return spot[0] >= Math.min(...xs) && spot[0] <= Math.max(...xs) && spot[1] >= Math.min(...ys) && spot[1] <= Math.max(...ys);
}

function everything() {
  const { data, pictures } = state;
  return [
    ...corners(),
    ...points().map((one) => one.at),
    ...data.levels.flatMap((one) => one.outline || []),
    ...data.steel.flatMap((one) => one.outline),
    ...pictures.flatMap((one) => [one.at, [one.at[0] + one.width, one.at[1] + one.height]]),
  ];
}

/** Bring everything into view. */
export function fitAll() {
  const all = everything(), { w, h } = size(), { view } = state;
  const xs = all.length ? all.map((one) => one[0]) : [0, 20], ys = all.length ? all.map((one) => one[1]) : [0, 15];
  const left = Math.min(...xs), right = Math.max(...xs), low = Math.min(...ys), high = Math.max(...ys);
  view.s = Math.min(120, Math.max(0.05, Math.min((w - 90) / Math.max(right - left, 4), (h - 90) / Math.max(high - low, 4))));
  view.x = (left + right) / 2 - w / 2 / view.s;
  view.y = (low + high) / 2 - h / 2 / view.s;
}
