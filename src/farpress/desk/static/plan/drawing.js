// The plan as a drawing: picture below, walls, things, what is being drawn, and the reach over it.
import { $, root } from "../desk.js";
import { drawHeat } from "../reach.js";
import { state, svg, canvas, canChange, level, points, id, when } from "./state.js";
import { px, world, size, metres, distance, round, along, together } from "./geometry.js";
import { shownGrid, shownContours, comparing } from "./variants.js";

let queued = false;
when("draw", () => {
  if (queued) return;
  queued = true;
  requestAnimationFrame(() => { queued = false; paint(); });
});

function paint() {
  const { data, draft, chosen } = state;
  if (!data) return;
  const { w, h } = size(), here = level(), parts = [];
  for (const one of state.pictures) if (!one.level || one.level === here) parts.push(drawPicture(one));
  parts.push(...gridLines(w, h));
  const storey = data.levels.find((one) => one.name === here);
  if (storey?.outline) parts.push(node("path", { class: "slab", d: line(storey.outline) + "Z" }));
  for (const one of data.steel) parts.push(node("path", { class: "steel", d: line(one.outline) + "Z" }, titled(one.says)));
  for (const one of shownContours()) parts.push(node("path", { class: `contour ${one.cls}`, d: one.points.map((piece) => line(piece)).join("") }));
  data.walls.forEach((wall, index) => parts.push(...drawWall(wall, index, here)));
  for (const box of data.receivers) for (const one of box.cables) if (one.along.length > 1) parts.push(node("path", { class: "cable", d: line(one.along) }, titled(`${one.label}, ${metres(one.length)}`)));
  parts.push(drawOrigin());
  const things = points(), isChosen = (one) => chosen?.id === id(one.key);
  taken = [[0, 0, 120, 44], ...things.map((one) => { const [X, Y] = px(one.at), r = one.kind === "receiver" ? 10 : 8; return [X - r, Y - r, X + r, Y + r]; })];
  for (const one of [...things.filter(isChosen), ...things.filter((each) => !isChosen(each))]) parts.push(drawPoint(one, here)); // what is chosen takes its place first
  for (const one of data.forbidden) parts.push(...drawForbidden(one));
  for (const one of shownContours()) parts.push(...labelContour(one, w, h));
  if (chosen?.kind === "wall" && canChange) parts.push(...drawHandles(shape(chosen.index)));
  if (draft) parts.push(...drawDraft(draft));
  if (state.cross && document.activeElement === svg) parts.push(drawCross(state.cross));
  svg.setAttribute("viewBox", `0 0 ${w} ${h}`);
  svg.replaceChildren(...parts);
  drawHeat(canvas, $("#show-map").checked ? shownGrid() : null, state.view, size(), comparing());
}

function node(name, attributes, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) if (value != null) made.setAttribute(key, value);
  made.append(...children);
  return made;
}
const titled = (text) => node("title", {}, text || "");
const line = (list) => list.map((one, index) => `${index ? "L" : "M"}${px(one).map((value) => value.toFixed(1)).join(" ")}`).join("");

function drawPicture(one) {
  const [X, Y] = px([one.at[0], one.at[1] + one.height]);
  return node("image", { href: `${root}/plan/pictures/${one.file}`, x: X, y: Y, width: one.width * state.view.s, height: one.height * state.view.s, preserveAspectRatio: "none", opacity: 0.55, class: "underlay" });
}

function gridLines(w, h) {
  const { view } = state;
  const step = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].find((one) => one * view.s > 38) || 1000;
  const [left, low] = world(0, h), [right, high] = world(w, 0);
  let d = "";
  for (let x = Math.ceil(left / step) * step; x < right; x += step) d += `M${px([x, 0])[0].toFixed(1)} 0V${h}`;
  for (let y = Math.ceil(low / step) * step; y < high; y += step) d += `M0 ${px([0, y])[1].toFixed(1)}H${w}`;
  const X = 14, Y = 20;
  return [
    node("path", { class: "grid", d }),
    node("path", { class: "pane", d: `M${X} ${Y - 5}V${Y}H${X + step * view.s}V${Y - 5}` }),
    node("text", { class: "label", x: X + 4, y: Y + 3 + lineHigh() }, `${step} m`),
  ];
}

/** Where all measures are taken from. */
function drawOrigin() {
  const [X, Y] = px([0, 0]);
  return node("g", { class: "origin", transform: `translate(${X.toFixed(1)} ${Y.toFixed(1)})` }, node("path", { d: "M-12 0H22M0 12V-22M22 0L17 -3.5M22 0L17 3.5M0 -22L-3.5 -17M0 -22L3.5 -17" }), titled("origin of the plan: 0 m, 0 m"));
}

// -- walls -----------------------------------------------------------------------------------------
/** The corners of a wall, as it is dragged. */
function shape(index) {
  const { grip, data } = state;
  return grip?.index === index && grip.shape ? grip.shape : data.walls[index].along;
}
const thickness = (build) => Math.max(2.2, (Number(/(\d+)\s*mm/.exec(build || "")?.[1] || 100) / 1000) * state.view.s);

function drawWall(wall, index, here) {
  const { chosen } = state;
  const isGhost = wall.level && wall.level !== here, isChosen = chosen?.kind === "wall" && chosen.index === index;
  const list = shape(index), width = thickness(wall.build), pale = isGhost ? 0.3 : null;
  const made = [node("path", { class: `wall${isGhost ? " ghost" : ""}${isChosen ? " chosen" : ""}`, d: line(list), "stroke-width": width.toFixed(1) })];
  if (!isGhost) made.push(node("path", { class: "hit", d: line(list), "data-wall": index }, titled(wall.build)));
  wall.openings.forEach((one, number) => {
    const ends = along({ along: list }, one.from, one.width);
    if (!ends) return;
    const isPicked = chosen?.kind === "opening" && chosen.index === index && chosen.opening === number;
    made.push(
      node("path", { class: "gap", d: line(ends), "stroke-width": (width + 2).toFixed(1), opacity: pale }),
      node("path", { class: `pane${isPicked ? " chosen wall" : ""}`, d: line(ends), "stroke-dasharray": one.build ? null : "2 3", opacity: pale }),
    );
    if (!isGhost) made.push(node("path", { class: "hit", d: line(ends), "data-opening": `${index}/${number}` }, titled(`opening, ${one.build || "open"}, ${metres(one.width)}`)));
  });
  return made;
}

function drawHandles(list) {
  return list.flatMap((spot, index) => {
    if (together(list, index)[0] !== index) return []; // the first corner stands for both
    const [X, Y] = px(spot);
    return node("rect", { class: "handle", x: X - 6, y: Y - 6, width: 12, height: 12, "data-handle": index });
  });
}

// -- things ------------------------------------------------------------------------------------------
const SHAPES = {
  place: () => [node("circle", { class: "body", r: 7 }), node("circle", { r: 2.4, fill: "currentColor" })],
  receiver: () => [node("rect", { class: "body", x: -9, y: -7, width: 18, height: 14, rx: 2 })],
  aerial: () => [node("circle", { class: "pad", r: 14 }), node("path", { class: "body", d: "M0 10V-10M0 0L-7 -10M0 0L7 -10" })],
  device: () => [node("path", { class: "body", d: "M0 -8L8 0L0 8L-8 0Z" })],
  panel: () => [node("rect", { class: "body", x: -7, y: -9, width: 14, height: 18 }), node("path", { class: "pane", d: "M-4 -4H4M-4 0H4" })],
  mount: () => [node("path", { class: "body", d: "M-7 -7H7V7H-7ZM-3 0H3M0 -3V3" })],
  junction: () => [node("rect", { class: "body", x: -5, y: -5, width: 10, height: 10 })],
  supply: () => [node("circle", { class: "body", r: 7 }), node("path", { class: "pane", d: "M-3.5 0C-2 -5 0 -5 0 0S2 5 3.5 0" })],
};

function drawPoint(one, here) {
  const { moving, chosen, view } = state, name = id(one.key);
  const [X, Y] = px(moving?.id === name ? moving.to : one.at), isChosen = chosen?.id === name;
  const classes = ["thing", one.kind, one.other && "other", one.level && one.level !== here && "ghost", isChosen && "chosen"].filter(Boolean).join(" ");
  const made = node("g", { class: classes, transform: `translate(${X.toFixed(1)} ${Y.toFixed(1)})`, "data-point": name, tabindex: -1, "aria-label": `${one.kind} ${one.name}` }, ...SHAPES[one.kind](), titled(`${one.kind} ${one.name}`));
  if (isChosen) made.append(node("circle", { class: "ring", r: 16 }));
  if (one.kind !== "aerial" && (view.s > 2 || isChosen)) {
    const place = labelPlace(X, Y, one.name);
    if (place) made.append(node("text", { x: place[0], y: place[1], "text-anchor": place[2] }, one.name));
  }
  return made;
}

// Where something must never work from: a barred circle round a place, a dashed line at a distance; the words stand in its title and in the list.
function drawForbidden(one) {
  const [X, Y] = px(one.at);
  if (!one.radius) return [node("g", { class: "forbidden", transform: `translate(${X.toFixed(1)} ${Y.toFixed(1)})` }, node("circle", { r: 14 }), node("path", { d: "M-10 10L10 -10" }), titled(one.says))];
  const far = one.radius * state.view.s, half = wideOf(one.says) / 2;
  const spot = [Y + far + 16, Y - far - 7].find((y) => isFree([X - half, y - 11, X + half, y + 3]));
  const made = [node("circle", { class: "forbidden far", cx: X, cy: Y, r: far }, titled(one.says))];
  if (spot) { taken.push([X - half, spot - 11, X + half, spot + 3]); made.push(node("text", { class: "label", x: X, y: spot, "text-anchor": "middle" }, one.says)); }
  return made;
}

// A label stands where it covers no other: right, left, above, below; else it is left out (the list names everything).
let taken = [];
const isFree = (box) => taken.every((one) => box[2] < one[0] || box[0] > one[2] || box[3] < one[1] || box[1] > one[3]);
const pen = document.createElement("canvas").getContext("2d");
/** How high a label is on the screen, and how wide, as the page sets it. */
const lineHigh = () => Math.max(12, parseFloat(getComputedStyle(document.documentElement).fontSize) * 0.75);
function wideOf(label) {
  pen.font = `600 ${lineHigh()}px Desk, sans-serif`;
  return pen.measureText(label).width + 4;
}
function labelPlace(X, Y, label) {
  const wide = wideOf(label), tall = lineHigh(), places = [[12, 4, "start"], [-12, 4, "end"], [0, -13, "middle"], [0, 10 + tall, "middle"], [12, -9, "start"], [-12, -9, "end"], [12, 8 + tall, "start"], [-12, 8 + tall, "end"]];
  for (const [dx, dy, anchor] of places) {
    const left = X + dx - (anchor === "end" ? wide : anchor === "middle" ? wide / 2 : 0), box = [left, Y + dy - tall, left + wide, Y + dy + tall / 3];
    if (isFree(box)) {
      taken.push(box);
      return [dx, dy, anchor];
    }
  }
  return null;
}

// -- words on contours, what is being drawn, the keyboard's cross ----------------------------------------------
// A contour's words stand on its longest piece, where they cover nothing; else they are left out (its kind of line tells it too).
function labelContour({ label, points: pieces }, w, h) {
  const longest = pieces.reduce((a, b) => (b.length > a.length ? b : a), []), half = wideOf(label) / 2;
  if (longest.length <= 6) return [];
  for (const share of [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9]) {
    const [X, Y] = px(longest[Math.floor((longest.length - 1) * share)]);
    if (X - half < 4 || X + half > w - 4 || Y < 44 || Y > h - 44 || !isFree([X - half, Y - 14, X + half, Y + 5])) continue;
    taken.push([X - half, Y - 14, X + half, Y + 5]);
    return [node("text", { class: "label", x: X, y: Y, "text-anchor": "middle" }, label)];
  }
  return [];
}

function drawDraft(draft) {
  const made = [], list = [...draft.points, ...(draft.hover ? [draft.hover] : [])];
  if (list.length) made.push(node("path", { class: "draft", d: line(list) }));
  for (const spot of draft.points) { const [X, Y] = px(spot); made.push(node("circle", { class: "handle", cx: X, cy: Y, r: 5 })); }
  if (list.length > 1) {
    const a = list.at(-2), b = list.at(-1), [X, Y] = px([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
    made.push(node("text", { class: "label", x: X + 8, y: Y - 8 }, metres(round(distance(a, b), 0.01))));
  }
  return made;
}

function drawCross(spot) {
  const [X, Y] = px(spot);
  return node("path", { class: "cross", d: `M${X - 14} ${Y}H${X + 14}M${X} ${Y - 14}V${Y + 14}` });
}
