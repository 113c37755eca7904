// How reach is shown: one scale from dark to light (each step lighter, so it reads in grey and for every eye), contours in words.
const STOPS = [[38, 32, 74], [52, 62, 118], [62, 104, 138], [84, 146, 136], [146, 186, 128], [214, 216, 140], [250, 244, 196]];
const CHANGE = [[122, 58, 12], [246, 244, 238], [10, 84, 98]]; // worse, the same, better
const mix = (list, share) => { const at = Math.max(0, Math.min(1, share)) * (list.length - 1), low = Math.min(Math.floor(at), list.length - 2), part = at - low; return list[low].map((value, index) => value + (list[low + 1][index] - value) * part); };

export function drawHeat(canvas, grid, view, { w, h }, difference) {
  const scale = window.devicePixelRatio || 1;
  if (canvas.width !== Math.round(w * scale) || canvas.height !== Math.round(h * scale)) { canvas.width = Math.round(w * scale); canvas.height = Math.round(h * scale); }
  const pen = canvas.getContext("2d");
  pen.setTransform(scale, 0, 0, scale, 0, 0);
  pen.clearRect(0, 0, w, h);
  if (!grid) return;
  const rows = grid.values.length, columns = grid.values[0].length, small = document.createElement("canvas");
  small.width = columns; small.height = rows;
  const image = new ImageData(columns, rows);
  for (let y = 0; y < rows; y++) for (let x = 0; x < columns; x++) {
    const value = grid.values[rows - 1 - y][x], at = (y * columns + x) * 4, known = value > -5 && !(value < 0 && !difference);
    const colour = difference ? mix(CHANGE, (value + 1) / 2) : mix(STOPS, value);
    image.data.set([...colour, known ? 215 : 0], at);
  }
  small.getContext("2d").putImageData(image, 0, 0);
  pen.imageSmoothingEnabled = true; pen.imageSmoothingQuality = "high";
  const X = (grid.left - view.x) * view.s, Y = h - (grid.high - view.y) * view.s;
  pen.drawImage(small, X, Y, (grid.right - grid.left) * view.s, (grid.high - grid.low) * view.s);
}

export function shareAt(grid, [x, y]) {
  if (!grid) return null;
  const rows = grid.values.length, columns = grid.values[0].length;
  const column = ((x - grid.left) / (grid.right - grid.left)) * columns - 0.5, row = ((y - grid.low) / (grid.high - grid.low)) * rows - 0.5;
  if (column < -0.5 || row < -0.5 || column > columns - 0.5 || row > rows - 0.5) return null;
  const c = Math.max(0, Math.min(columns - 2, Math.floor(column))), r = Math.max(0, Math.min(rows - 2, Math.floor(row))), u = Math.max(0, Math.min(1, column - c)), v = Math.max(0, Math.min(1, row - r));
  const four = [grid.values[r][c], grid.values[r][c + 1], grid.values[r + 1][c], grid.values[r + 1][c + 1]];
  if (four.some((one) => (grid.difference ? one < -5 : one < 0))) return null;
  return four[0] * (1 - u) * (1 - v) + four[1] * u * (1 - v) + four[2] * (1 - u) * v + four[3] * u * v;
}

// Marching squares on the middles of the cells, pieces joined into lines.
export const LEAST_DB = -20, MOST_DB = 40; // ends of the scale of levels: our choice
/** A share of that scale in words; its ends stand for all beyond. */
export function decibels(share) {
  const value = Math.round(LEAST_DB + share * (MOST_DB - LEAST_DB));
  const beyond = share <= 0 ? " and less" : share >= 1 ? " and more" : "";
  return value < 0 ? `${-value} dB too little${share <= 0 ? " and worse" : ""}` : `${value} dB${beyond} over what is needed`;
}
const LINES = {
  level: [0, 10, 20].map((value, index) => [(value - LEAST_DB) / (MOST_DB - LEAST_DB), value ? `${value} dB to spare` : "just what is needed", ["c50", "c90", "c99"][index]]),
  kept: [[0.5, "half of the promises", "c50"], [0.999, "every promise", "c90"]],
};
export function contours(grid, presses = 1) {
  const of = presses === 1 ? "presses" : "times";
  return (LINES[grid.shows] || [[0.5, `1 of 2 ${of}`, "c50"], [0.9, `9 of 10 ${of}`, "c90"], [0.99, `99 of 100 ${of}`, "c99"]]).map(([limit, label, cls]) => ({ label, cls, points: trace(grid, limit) })).filter((one) => one.points.length);
}
function trace(grid, limit) {
  const rows = grid.values.length, columns = grid.values[0].length, pieces = [];
  const spot = (c, r) => [grid.left + ((c + 0.5) * (grid.right - grid.left)) / columns, grid.low + ((r + 0.5) * (grid.high - grid.low)) / rows];
  for (let r = 0; r < rows - 1; r++) for (let c = 0; c < columns - 1; c++) {
    const corners = [[c, r], [c + 1, r], [c + 1, r + 1], [c, r + 1]], values = corners.map(([x, y]) => grid.values[y][x]);
    if (values.some((one) => one < 0)) continue;
    const cuts = [];
    for (let side = 0; side < 4; side++) { const a = values[side], b = values[(side + 1) % 4]; if ((a < limit) !== (b < limit)) { const t = (limit - a) / (b - a), [p, q] = [spot(...corners[side]), spot(...corners[(side + 1) % 4])]; cuts.push([p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t]); } }
    for (let i = 0; i + 1 < cuts.length; i += 2) pieces.push([cuts[i], cuts[i + 1]]);
  }
  const key = (one) => `${one[0].toFixed(3)},${one[1].toFixed(3)}`, at = new Map();
  pieces.forEach((piece, index) => piece.forEach((end) => { const name = key(end); if (!at.has(name)) at.set(name, []); at.get(name).push(index); }));
  const used = new Set(), lines = [];
  pieces.forEach((piece, index) => {
    if (used.has(index)) return;
    used.add(index);
    const chain = [...piece];
    for (const backwards of [false, true]) for (;;) {
      const end = backwards ? chain[0] : chain.at(-1), next = (at.get(key(end)) || []).find((one) => !used.has(one));
      if (next == null) break;
      used.add(next);
      const [a, b] = pieces[next], other = key(a) === key(end) ? b : a;
      if (backwards) chain.unshift(other); else chain.push(other);
    }
    lines.push(chain);
  });
  return lines;
}

const ENDS = { chance: ["never", "1 of 2", "always"], kept: ["none kept", "half", "all kept"], level: [`${-LEAST_DB} dB too little`, `${(LEAST_DB + MOST_DB) / 2} dB over`, `${MOST_DB} dB over`] };
export function legend(place, shows = "chance") {
  const bar = document.createElement("canvas");
  bar.width = 200; bar.height = 1; bar.className = "legend-bar"; bar.style.width = "100%"; bar.setAttribute("role", "img"); bar.setAttribute("aria-label", `Scale from ${ENDS[shows][0]}, dark, to ${ENDS[shows][2]}, light`);
  const pen = bar.getContext("2d"), image = pen.createImageData(200, 1);
  for (let x = 0; x < 200; x++) image.data.set([...mix(STOPS, x / 199), 255], x * 4);
  pen.putImageData(image, 0, 0);
  const words = document.createElement("div"); words.className = "legend-words";
  for (const text of ENDS[shows]) { const one = document.createElement("span"); one.textContent = text; words.append(one); }
  place.replaceChildren(bar, words);
}
