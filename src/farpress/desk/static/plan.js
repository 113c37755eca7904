// The plan editor: draw with mouse, finger or keys; the reach of every press follows.
import { $, $$, root, element, say, send, edit as change, undo, open } from "./desk.js";
import { drawHeat, contours, legend, shareAt } from "./reach.js";

const edit = (changes, says) => change(changes, says, { keep: true });
const NS = "http://www.w3.org/2000/svg";
const svg = $("#plan"), canvas = $("#heat"), board = $("#board"), hint = $("#hint"), pointer = $("#pointer"), panel = $("#chosen");
const canChange = document.body.dataset.role === "installer";
let data = null, view = { x: -5, y: -5, s: 12 }, tool = "select", chosen = null, draft = null, cross = null, pictures = [];
let grid = null, keptA = null, moving = null, mapJob = null;
const size = () => ({ w: board.clientWidth, h: board.clientHeight });
const px = ([x, y]) => [(x - view.x) * view.s, size().h - (y - view.y) * view.s];
const world = (X, Y) => [X / view.s + view.x, (size().h - Y) / view.s + view.y];
const snapStep = () => Number($("#snap").value);
const round = (value, step = snapStep()) => Math.round(Math.round(value / step) * step * 1000) / 1000;
const level = () => $("#level").value || null;
const receiver = () => $("#receiver").value;
const presses = () => Number($("#presses").value);
const premises = () => $("#premises").value;
const at = (...keys) => ["premises", premises(), ...keys];
const metres = (value) => `${Math.round(value * 1000) / 1000} m`;
const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
const get = async (path, parameters = {}) => {
  const answer = await fetch(`${root}/plan/${path}?${new URLSearchParams({ premises: premises(), ...parameters })}`, { headers: { Accept: "application/json" }, signal: parameters.signal });
  if (!answer.ok) throw new Error((await answer.json().catch(() => ({}))).says || `The desk answered ${answer.status}.`);
  return answer;
};

// -- what is there -----------------------------------------------------------------------------
async function load({ fit = false } = {}) {
  data = await (await get("data")).json();
  document.body.dataset.fingerprint = data.fingerprint;
  pictures = await (await get("pictures")).json();
  const was = level();
  $("#level").replaceChildren(...data.levels.map((one) => element("option", { value: one.name }, one.name)), element("option", { value: "" }, "out of doors"));
  $("#level").value = was !== null && data.levels.some((one) => one.name === was) ? was : data.levels[0]?.name || "";
  const before = receiver();
  $("#receiver").replaceChildren(...data.receivers.map((one) => element("option", { value: one.name }, one.name)));
  if (data.receivers.some((one) => one.name === before)) $("#receiver").value = before;
  if (chosen && !find(chosen)) chosen = null;
  if (fit) fitAll();
  draw(); if (!asking?.isConnected) inspect(); listAll();
  requestMap({ fine: !fit }); placesTable();
}

function points() {
  return [
    ...data.places.map((one) => ({ kind: "place", key: ["places", one.name, "at"], name: one.name, at: one.at, level: one.level })),
    ...data.devices.map((one) => ({ kind: "device", key: ["devices", one.name, "at"], name: one.name, at: one.at, level: one.level })),
    ...data.panels.map((one) => ({ kind: "panel", key: ["panels", one.name, "at"], name: one.name, at: one.at, level: one.level })),
    ...data.supplies.map((one) => ({ kind: "supply", key: ["supplies", one.name, "at"], name: one.name, at: one.at, level: one.level })),
    ...data.receivers.flatMap((one) => [
      { kind: "receiver", key: ["receivers", one.name, "at"], name: one.name, at: one.at, level: one.level },
      ...one.others.map((spot, index) => ({ kind: "aerial", key: ["receivers", one.name, "antenna_places", index, "at"], name: `${one.name}: other place ${index + 1}`, of: one.name, at: spot, other: true })),
      ...(one.aerial ? [{ kind: "aerial", key: ["receivers", one.name, "antenna", "at"], name: `${one.name} aerial`, of: one.name, at: one.aerial }] : []),
    ]),
  ];
}
const id = (key) => key.join("/");
const find = (what) => (what.kind === "wall" ? data.walls[what.index] : what.kind === "opening" ? data.walls[what.index]?.openings[what.opening] : points().find((one) => id(one.key) === what.id));
const allPoints = () => [...data.walls.flatMap((wall) => wall.along), ...points().map((one) => one.at), ...data.levels.flatMap((one) => one.outline || []), ...data.steel.flatMap((one) => one.outline), ...pictures.flatMap((one) => [one.at, [one.at[0] + one.width, one.at[1] + one.height]])];

function fitAll() {
  const all = allPoints(), { w, h } = size();
  const xs = all.length ? all.map((one) => one[0]) : [0, 20], ys = all.length ? all.map((one) => one[1]) : [0, 15];
  const left = Math.min(...xs), right = Math.max(...xs), low = Math.min(...ys), high = Math.max(...ys);
  view.s = Math.min(120, Math.max(0.05, Math.min((w - 90) / Math.max(right - left, 4), (h - 90) / Math.max(high - low, 4))));
  view.x = (left + right) / 2 - w / 2 / view.s; view.y = (low + high) / 2 - h / 2 / view.s;
}

// -- drawing -------------------------------------------------------------------------------------
function node(name, attributes, ...children) { const made = document.createElementNS(NS, name); for (const [key, value] of Object.entries(attributes)) if (value != null) made.setAttribute(key, value); made.append(...children); return made; }
const line = (list) => list.map((one, index) => `${index ? "L" : "M"}${px(one).map((value) => value.toFixed(1)).join(" ")}`).join("");
const thickness = (build) => Math.max(2.2, (Number(/(\d+)\s*mm/.exec(build || "")?.[1] || 100) / 1000) * view.s);
let queued = false;
function draw() { if (!queued) { queued = true; requestAnimationFrame(() => { queued = false; paint(); }); } }

function paint() {
  if (!data) return;
  const { w, h } = size(), here = level(), parts = [];
  for (const one of pictures) if (!one.level || one.level === here) { const [X, Y] = px([one.at[0], one.at[1] + one.height]); parts.push(node("image", { href: `${root}/plan/pictures/${one.file}`, x: X, y: Y, width: one.width * view.s, height: one.height * view.s, preserveAspectRatio: "none", opacity: 0.55, class: "underlay" })); }
  parts.push(...gridLines(w, h));
  const storey = data.levels.find((one) => one.name === here);
  if (storey?.outline) parts.push(node("path", { class: "slab", d: line(storey.outline) + "Z" }));
  for (const one of data.steel) parts.push(node("path", { class: "steel", d: line(one.outline) + "Z" }, titled(one.says)));
  for (const { label, points: list, cls } of shownContours()) { parts.push(node("path", { class: `contour ${cls}`, d: list.map((piece) => line(piece)).join("") })); const longest = list.reduce((a, b) => (b.length > (a?.length || 0) ? b : a), null); if (longest && longest.length > 6) { const [X, Y] = px(longest[Math.floor(longest.length / 2)]); if (X > 40 && X < w - 60 && Y > 20 && Y < h - 20) parts.push(node("text", { class: "label", x: X, y: Y, "text-anchor": "middle" }, label)); } }
  data.walls.forEach((wall, index) => parts.push(...drawWall(wall, index, here)));
  for (const box of data.receivers) for (const one of box.cables) if (one.along.length > 1) parts.push(node("path", { class: "cable", d: line(one.along) }, titled(`${one.label}, ${metres(one.length)}`)));
  taken = points().map((one) => { const [X, Y] = px(one.at); return [X - 8, Y - 8, X + 8, Y + 8]; });
  for (const one of points()) parts.push(drawPoint(one, here));
  for (const one of data.forbidden) parts.push(...drawForbidden(one));
  if (chosen?.kind === "wall" && canChange) data.walls[chosen.index].along.forEach((spot, index) => { const [X, Y] = px(spot); parts.push(node("rect", { class: "handle", x: X - 6, y: Y - 6, width: 12, height: 12, "data-handle": index })); });
  if (draft) parts.push(...drawDraft());
  if (cross && document.activeElement === svg) { const [X, Y] = px(cross); parts.push(node("path", { class: "cross", d: `M${X - 14} ${Y}H${X + 14}M${X} ${Y - 14}V${Y + 14}` })); }
  svg.setAttribute("viewBox", `0 0 ${w} ${h}`);
  svg.replaceChildren(...parts);
  const shown = $("#show-map").checked ? shownGrid() : null;
  drawHeat(canvas, shown, view, size(), $("#compare").value === "difference" && keptA);
}
const titled = (text) => node("title", {}, text || "");
function gridLines(w, h) {
  const step = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].find((one) => one * view.s > 38) || 1000, made = [];
  const [left, low] = world(0, h), [right, high] = world(w, 0);
  let d = "";
  for (let x = Math.ceil(left / step) * step; x < right; x += step) d += `M${px([x, 0])[0].toFixed(1)} 0V${h}`;
  for (let y = Math.ceil(low / step) * step; y < high; y += step) d += `M0 ${px([0, y])[1].toFixed(1)}H${w}`;
  made.push(node("path", { class: "grid", d }));
  const X = 14, Y = 20;
  made.push(node("path", { class: "pane", d: `M${X} ${Y - 5}V${Y}H${X + step * view.s}V${Y - 5}` }), node("text", { class: "label", x: X + 4, y: Y + 15 }, `${step} m`));
  return made;
}
function drawWall(wall, index, here) {
  const ghost = wall.level && wall.level !== here ? " ghost" : "", isChosen = (chosen?.kind === "wall" && chosen.index === index) ? " chosen" : "", width = thickness(wall.build);
  const made = [node("path", { class: `wall${ghost}${isChosen}`, d: line(wall.along), "stroke-width": width.toFixed(1) })];
  wall.openings.forEach((one, number) => {
    const ends = along(wall, one.from, one.width);
    if (!ends) return;
    made.push(node("path", { class: "gap", d: line(ends), "stroke-width": (width + 2).toFixed(1), opacity: ghost ? 0.3 : null }), node("path", { class: `pane${chosen?.kind === "opening" && chosen.index === index && chosen.opening === number ? " chosen wall" : ""}`, d: line(ends), "stroke-dasharray": one.build ? null : "2 3", opacity: ghost ? 0.3 : null }));
    if (!ghost) made.push(node("path", { class: "hit", d: line(ends), "data-opening": `${index}/${number}` }, titled(`opening, ${one.build || "open"}, ${metres(one.width)}`)));
  });
  if (!ghost) { const hit = node("path", { class: "hit", d: line(wall.along), "data-wall": index }, titled(`${wall.build}`)); made.splice(1, 0, hit); }
  return made;
}
function along(wall, from, width) {
  let run = 0; const ends = [];
  for (const target of [from, from + width]) {
    run = 0;
    for (let i = 1; i < wall.along.length; i++) { const [a, b] = [wall.along[i - 1], wall.along[i]], step = distance(a, b); if (target <= run + step + 1e-6) { const t = step ? (target - run) / step : 0; ends.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]); break; } run += step; }
  }
  return ends.length === 2 ? ends : null;
}
const SHAPES = {
  place: () => [node("circle", { class: "body", r: 7 }), node("circle", { r: 2.4, fill: "currentColor" })],
  receiver: () => [node("rect", { class: "body", x: -9, y: -7, width: 18, height: 14, rx: 2 })],
  aerial: () => [node("circle", { class: "pad", r: 14 }), node("path", { class: "body", d: "M0 10V-10M0 0L-7 -10M0 0L7 -10" })],
  device: () => [node("path", { class: "body", d: "M0 -8L8 0L0 8L-8 0Z" })],
  panel: () => [node("rect", { class: "body", x: -7, y: -9, width: 14, height: 18 }), node("path", { class: "pane", d: "M-4 -4H4M-4 0H4" })],
  supply: () => [node("circle", { class: "body", r: 7 }), node("path", { class: "pane", d: "M-3.5 0C-2 -5 0 -5 0 0S2 5 3.5 0" })],
};
function drawPoint(one, here) {
  const isMoved = moving && moving.id === id(one.key), [X, Y] = px(isMoved ? moving.to : one.at), isChosen = chosen?.id === id(one.key);
  const ghost = one.level && one.level !== here ? " ghost" : "", label = one.kind === "aerial" ? (one.other ? "" : "") : one.name;
  const made = node("g", { class: `thing ${one.kind}${one.other ? " other" : ""}${ghost}${isChosen ? " chosen" : ""}`, transform: `translate(${X.toFixed(1)} ${Y.toFixed(1)})`, "data-point": id(one.key), tabindex: -1, "aria-label": `${one.kind} ${one.name}` }, ...SHAPES[one.kind](), titled(`${one.kind} ${one.name}`));
  if (isChosen) made.append(node("circle", { class: "ring", r: 16 }));
  if (label && (view.s > 2 || isChosen)) { const place = labelPlace(X, Y, label, isChosen); if (place) made.append(node("text", { x: place[0], y: place[1], "text-anchor": place[2] }, label)); }
  return made;
}
// Where something must never work from: a barred circle round a place, a dashed line at a distance; the words stand in its title and in the list.
function drawForbidden(one) {
  const [X, Y] = px(one.at);
  if (one.radius) { const far = one.radius * view.s; const wide = one.says.length * textWide(), spot = [Y + far + 16, Y - far - 7].find((y) => taken.every((box) => X + wide / 2 < box[0] || X - wide / 2 > box[2] || y + 3 < box[1] || y - 11 > box[3])); return [node("circle", { class: "forbidden far", cx: X, cy: Y, r: far }, titled(one.says)), ...(spot ? [node("text", { class: "label", x: X, y: spot, "text-anchor": "middle" }, one.says)] : [])]; }
  return [node("g", { class: "forbidden", transform: `translate(${X.toFixed(1)} ${Y.toFixed(1)})` }, node("circle", { r: 14 }), node("path", { d: "M-10 10L10 -10" }), titled(one.says))];
}
// A label stands where it covers no other: right, left, above, below; else it is left out (the list names everything).
let taken = [];
const textWide = () => Math.max(6.4, parseFloat(getComputedStyle(document.documentElement).fontSize) * 0.4);
function labelPlace(X, Y, label, must) {
  const wide = label.length * textWide();
  for (const [dx, dy, anchor] of [[12, 4, "start"], [-12, 4, "end"], [0, -13, "middle"], [0, 22, "middle"], [12, -9, "start"]]) {
    const left = X + dx - (anchor === "end" ? wide : anchor === "middle" ? wide / 2 : 0), box = [left, Y + dy - 11, left + wide, Y + dy + 3];
    if (must || taken.every((one) => box[2] < one[0] || box[0] > one[2] || box[3] < one[1] || box[1] > one[3])) { taken.push(box); return [dx, dy, anchor]; }
  }
  return null;
}
function drawDraft() {
  const made = [], list = [...draft.points, ...(draft.hover ? [draft.hover] : [])];
  if (list.length) made.push(node("path", { class: "draft", d: line(list) }));
  for (const spot of draft.points) { const [X, Y] = px(spot); made.push(node("circle", { class: "handle", cx: X, cy: Y, r: 5 })); }
  if (list.length > 1) { const a = list.at(-2), b = list.at(-1), [X, Y] = px([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]); made.push(node("text", { class: "label", x: X + 8, y: Y - 8 }, metres(round(distance(a, b), 0.01)))); }
  return made;
}

// -- tools ---------------------------------------------------------------------------------------
const HINTS = { select: "", wall: "Click corner after corner; Enter, double click or a click on the first point ends the wall. Type a length on the right.", opening: "Click on a wall where the door or window is.", slab: "Click round the storey's slab; Enter closes it.", place: "Click where somebody presses.", receiver: "Click where the receiver hangs.", aerial: "Click where the aerial of the chosen receiver stands.", level: "", cable: "Click along the cable's way; Enter ends it.", measure: "Click two points.", budget: "Click anywhere: how a press from there is heard.", scale: "Click two points of the picture whose distance is known." };
function use(name) {
  tool = name; draft = ["wall", "slab", "cable", "measure", "scale"].includes(name) ? { points: [], hover: null } : null;
  $$("[data-tool]").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.tool === name)));
  hint.textContent = HINTS[name]; svg.style.cursor = name === "select" ? "default" : "crosshair";
  if (name !== "select") chosen = null;
  inspect(); draw();
  if (name === "level") askLevel();
}
$$("[data-tool]").forEach((one) => one.addEventListener("click", () => { use(one.dataset.tool); svg.focus({ preventScroll: true }); }));

function snapped(spot, { from = null, free = false } = {}) {
  if (free) return spot;
  const near = data.walls.flatMap((wall) => wall.along).find((one) => distance(one, spot) * view.s < 11);
  if (near) return [near[0], near[1]];
  const made = [round(spot[0]), round(spot[1])];
  if (from) { const dx = Math.abs(made[0] - from[0]), dy = Math.abs(made[1] - from[1]); if (dx && dy / dx < 0.06) made[1] = from[1]; else if (dy && dx / dy < 0.06) made[0] = from[0]; }
  return made;
}

async function addPoint(spot) {
  if (tool === "wall" || tool === "slab" || tool === "cable") {
    const last = draft.points.at(-1);
    if (draft.points.length > 1 && tool !== "cable" && distance(spot, draft.points[0]) < 1e-6) { draft.points.push([...draft.points[0]]); return finish(); }
    if (!last || distance(last, spot) > 1e-6) draft.points.push(spot);
    inspect(); draw();
  } else if (tool === "measure" || tool === "scale") {
    draft.points.push(spot);
    if (draft.points.length === 2) { const [a, b] = draft.points, long = distance(a, b); hint.textContent = `${metres(round(long, 0.001))} (${metres(Math.abs(round(b[0] - a[0], 0.001)))} east-west, ${metres(Math.abs(round(b[1] - a[1], 0.001)))} north-south)`; if (tool === "scale") askScale(a, b); else draft.points = draft.points.slice(0, 2); }
    else if (draft.points.length > 2) draft.points = [spot];
    draw();
  } else if (tool === "opening") addOpening(spot);
  else if (tool === "place" || tool === "receiver") askName(tool, spot);
  else if (tool === "aerial") setAerial(spot);
  else if (tool === "budget") budgetAt(spot);
}

async function finish() {
  if (!draft) return;
  const list = draft.points.map(([x, y]) => [x, y]), which = tool;
  draft = { points: [], hover: null };
  if (which === "wall" && list.length > 1) {
    const entry = { ...(level() ? { level: level() } : { base: "0 m", top: "2.5 m" }), build: lastBuild(), along: list };
    const told = await edit([data.walls.length ? { path: at("walls", data.walls.length), value: entry } : { path: at("walls"), value: [entry] }], "a wall drawn");
    if (told.ok) { chosen = { kind: "wall", index: data.walls.length }; await load(); }
  } else if (which === "slab" && list.length > 2 && level()) { await edit([{ path: at("levels", level(), "outline"), value: list.slice(0, distance(list[0], list.at(-1)) < 1e-6 ? -1 : undefined) }], `slab outline of ${level()}`); await load(); }
  else if (which === "cable" && list.length > 1) { askCable(list); draw(); return; }
  inspect(); draw();
}
let build = null;
const lastBuild = () => build || data.walls.at(-1)?.build || data.builds.find((one) => one.name.startsWith("brick"))?.name || data.builds[0].name;

function askName(kind, spot) {
  const taken = new Set((kind === "place" ? data.places : data.receivers).map((one) => one.name));
  let number = taken.size + 1; const stem = kind === "place" ? "place " : "R";
  while (taken.has(`${stem}${number}`)) number++;
  const name = element("input", { id: "newname", value: `${stem}${number}`, "aria-label": "Name", autocomplete: "off" });
  const height = element("input", { id: "newheight", value: kind === "receiver" ? "1.8" : "", "aria-label": "Height over the plan's zero", inputmode: "decimal", placeholder: kind === "place" ? "hand height" : "" });
  const pressed = element("select", { "aria-label": "How it is pressed" }, ...["in hand", "in pocket", "in car"].map((one) => element("option", {}, one)));
  const part = element("select", { "aria-label": "Part" }, ...data.receiverParts.map((one) => element("option", {}, one)));
  const form = element("form", { class: "paper" }, element("h3", {}, kind === "place" ? "New place" : "New receiver"), field("Name", name), field("Height over the plan's zero, m", height), kind === "place" ? field("Pressed", pressed) : field("Part", part), element("p", { class: "row end" }, element("button", { type: "button", onclick: () => inspect() }, "Cancel"), element("button", { class: "main" }, "Add")));
  form.addEventListener("submit", async (event) => {
    event.preventDefault(); event.stopPropagation();
    const where = [spot[0], spot[1], ...(height.value.trim() ? [Number(height.value.replace(",", "."))] : [])];
    if (where.some(Number.isNaN)) return say("The height is a number in metres, as 1.8", { bad: true });
    const entry = kind === "place" ? { at: where, ...(level() && insideLevel(spot) ? { level: level() } : {}), ...(pressed.value !== "in hand" ? { pressed: pressed.value } : {}) } : { part: part.value, at: where };
    const told = await edit([{ path: at(kind === "place" ? "places" : "receivers", name.value.trim()), value: entry }], `${kind} ${name.value.trim()} added`);
    if (told.ok) { chosen = { kind, id: `${kind}s/${name.value.trim()}/at` }; use("select"); chosen = { kind, id: `${kind}s/${name.value.trim()}/at` }; await load(); }
  });
  ask(form, name);
}
// A storey: its floor over the plan's zero, the clear height under the next slab. A new one stands on the topmost.
function askLevel() {
  const top = data.levels.reduce((best, one) => (!best || one.floor > best.floor ? one : best), null);
  const words = ["ground", "upper", "attic"], name = element("input", { value: words.find((one) => !data.levels.some((each) => each.name === one)) || `level ${data.levels.length}`, autocomplete: "off" });
  const floor = element("input", { value: top ? round(top.floor + top.clear + 0.2, 0.01) : 0, inputmode: "decimal" }), clear = element("input", { value: top?.clear ?? 2.5, inputmode: "decimal" });
  const form = element("form", { class: "paper" }, element("h3", {}, "Levels"), element("ul", { class: "plain-list" }, ...data.levels.map((one) => element("li", { class: "row between" }, element("span", {}, `${one.name}: floor ${metres(one.floor)}, clear ${metres(one.clear)}`), element("button", { type: "button", onclick: () => open(`${root}/entry?path=${encodeURIComponent(JSON.stringify(at("levels", one.name)))}`) }, "Change", element("span", { class: "hidden-text" }, ` level ${one.name}`))))),
    element("h3", {}, "New level"), field("Name of the level", name), field("Its floor over the plan's zero, m", floor), field("Clear height, m", clear), element("p", { class: "row end" }, element("button", { type: "button", onclick: () => use("select") }, "Leave"), element("button", { class: "main" }, "Add the level")));
  form.addEventListener("submit", async (event) => {
    event.preventDefault(); event.stopPropagation();
    const [low, high] = [floor, clear].map((one) => Number(one.value.replace(",", ".")));
    if (!name.value.trim() || Number.isNaN(low) || !(high > 0)) return say("A level has a name, a floor and a clear height in metres, as 2.8 and 2.5", { bad: true });
    const told = await edit([{ path: at("levels", name.value.trim()), value: { floor: metres(low), clear: metres(high) } }], `level ${name.value.trim()} added`);
    if (told.ok) { use("select"); await load(); $("#level").value = name.value.trim(); draw(); requestMap({ fine: true }); }
  });
  ask(form, name);
}
const insideLevel = (spot) => { const list = data.walls.filter((wall) => wall.level === level()).flatMap((wall) => wall.along); if (!list.length) return false; const xs = list.map((one) => one[0]), ys = list.map((one) => one[1]); return spot[0] >= Math.min(...xs) && spot[0] <= Math.max(...xs) && spot[1] >= Math.min(...ys) && spot[1] <= Math.max(...ys); };
const field = (label, input) => { const name = `field-${Math.random().toString(36).slice(2, 8)}`; input.id = name; input.removeAttribute("aria-label"); return element("div", { class: "field" }, element("label", { for: name }, label), input); };

async function setAerial(spot) {
  const box = data.receivers.find((one) => one.name === receiver());
  if (!box) return say("Draw a receiver first.", { bad: true });
  const height = box.aerial?.[2] ?? box.at[2] ?? 2.5, where = [spot[0], spot[1], height];
  const changes = box.aerial ? [0, 1].map((index) => ({ path: at("receivers", box.name, "antenna", "at", index), value: where[index] })) : [{ path: at("receivers", box.name, "antenna"), value: { part: data.aerials[0], at: where } }];
  const told = await edit(changes, `aerial of ${box.name} set`);
  if (told.ok) { use("select"); chosen = { kind: "aerial", id: `receivers/${box.name}/antenna/at` }; await load(); }
}
function nearestWall(spot) {
  let best = null;
  data.walls.forEach((wall, index) => { if (wall.level && wall.level !== level()) return; let run = 0; for (let i = 1; i < wall.along.length; i++) { const [a, b] = [wall.along[i - 1], wall.along[i]], long = distance(a, b); if (!long) continue; const t = Math.max(0, Math.min(1, ((spot[0] - a[0]) * (b[0] - a[0]) + (spot[1] - a[1]) * (b[1] - a[1])) / long ** 2)), off = distance(spot, [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]); if (!best || off < best.off) best = { index, off, from: run + t * long }; run += long; } });
  return best;
}
async function addOpening(spot) {
  let hit = nearestWall(spot);
  if (!hit || hit.off * view.s > 18) { await load(); hit = nearestWall(spot); } // a wall just drawn may not have come back yet
  if (!hit || hit.off * view.s > 18) { hint.textContent = "Click on a wall of this level."; return; }
  const wall = data.walls[hit.index], entry = { from: metres(Math.max(0, round(hit.from - 0.45))), width: "0.9 m", head: "2 m", build: data.builds.find((one) => one.name === "timber door")?.name || data.builds[0].name };
  const told = await edit([wall.openings.length ? { path: at("walls", hit.index, "openings", wall.openings.length), value: entry } : { path: at("walls", hit.index, "openings"), value: [entry] }], "an opening drawn");
  if (told.ok) { const number = wall.openings.length; use("select"); chosen = { kind: "opening", index: hit.index, opening: number }; await load(); }
}
function askCable(list) {
  const long = list.slice(1).reduce((sum, spot, index) => sum + distance(list[index], spot), 0);
  const cables = data.receivers.flatMap((box) => [...box.outputs.map((number) => ({ label: `${box.name}, output ${number}`, key: ["receivers", box.name, "outputs", number, "cable"], has: box.cables.find((one) => one.key.join("/") === `outputs/${number}/cable`) })), { label: `${box.name}, its feed`, key: ["receivers", box.name, "fed", "cable"], has: box.cables.find((one) => one.key[0] === "fed"), feed: true }]).filter((one) => !one.feed || one.has);
  const which = element("select", {}, ...cables.map((one, index) => element("option", { value: index }, one.label)));
  const extra = element("input", { value: "2", inputmode: "decimal" }), part = element("select", {}, ...data.cables.map((one) => element("option", {}, one)));
  const form = element("form", { class: "paper" }, element("h3", {}, `Cable, ${metres(round(long, 0.1))} on the plan`), field("It belongs to", which), field("Added for ups, downs and ends, m", extra), field("Kind of cable", part), element("p", { class: "row end" }, element("button", { type: "button", onclick: () => inspect() }, "Cancel"), element("button", { class: "main" }, "Take it")));
  form.addEventListener("submit", async (event) => {
    event.preventDefault(); event.stopPropagation();
    const one = cables[Number(which.value)], length = `${Math.ceil((long + Number(extra.value.replace(",", ".")) || long) * 2) / 2} m`;
    await edit(one.has ? [{ path: at(...one.key, "length"), value: length }, { path: at(...one.key, "along"), value: list }] : [{ path: at(...one.key), value: { part: part.value, length, along: list } }], `cable of ${one.label} drawn, ${length}`);
    use("select"); await load();
  });
  ask(form, which);
}
function askScale(a, b) {
  const one = pictures.find((picture) => !picture.level || picture.level === level());
  if (!one) return say("There is no picture under this level.", { bad: true });
  const input = element("input", { inputmode: "decimal", placeholder: "as 4.20" });
  const form = element("form", { class: "paper" }, element("h3", {}, "Scale of the picture"), field("These two points are how far apart, m", input), element("p", { class: "row end" }, element("button", { class: "main" }, "Set the scale")));
  form.addEventListener("submit", async (event) => {
    event.preventDefault(); event.stopPropagation();
    const wanted = Number(input.value.replace(",", ".")), factor = wanted / distance(a, b);
    if (!(factor > 0) || !Number.isFinite(factor)) return say("Give the distance in metres, as 4.20", { bad: true });
    const corner = [round(a[0] - (a[0] - one.at[0]) * factor, 0.001), round(a[1] - (a[1] - one.at[1]) * factor, 0.001)];
    await edit([{ path: at("underlays", one.index, "width"), value: metres(one.width * factor) }, { path: at("underlays", one.index, "at", 0), value: corner[0] }, { path: at("underlays", one.index, "at", 1), value: corner[1] }], "scale of the picture set by two points");
    use("select"); await load({ fit: true });
  });
  ask(form, input);
}

// -- the panel: metric entry for what is selected ------------------------------------------------
// A form that asks stays while others change something; it goes when it is answered or something else is taken up.
let asking = null;
const ask = (form, first) => { asking = form; panel.replaceChildren(form); first.focus(); first.select?.(); };
function inspect() {
  if (!data) return;
  asking = null;
  const button = (label, does, cls = "") => element("button", { type: "button", class: cls, onclick: does }, label);
  if (draft && tool !== "measure" && tool !== "scale") {
    const long = element("input", { inputmode: "decimal", placeholder: "as 4.20, or 4.20 3.00 for east and north" });
    const form = element("form", { class: "paper" }, element("h3", {}, tool === "cable" ? "Cable" : tool === "slab" ? "Slab" : "Wall"));
    if (tool === "wall") { const kind = element("select", {}, ...data.builds.map((one) => element("option", { value: one.name }, `${one.name} (${Math.round(one.loss)} dB)`))); kind.value = lastBuild(); kind.addEventListener("change", () => { build = kind.value; }); form.append(field("Build", kind)); }
    form.append(field("Next length, m, in the direction of the pointer", long), element("p", { class: "row" }, button("Back one point", () => { draft.points.pop(); draw(); }), button("End it", finish, "main"), button("Leave", () => use("select"))));
    form.addEventListener("submit", (event) => {
      event.preventDefault(); event.stopPropagation();
      const numbers = long.value.replaceAll(",", ".").split(/[\s;]+/).filter(Boolean).map(Number), from = draft.points.at(-1) || [0, 0];
      if (!numbers.length || numbers.some(Number.isNaN)) return say("A length in metres, as 4.20; or two numbers: to the east and to the north.", { bad: true });
      let next = [from[0] + numbers[0], from[1] + (numbers[1] || 0)];
      if (numbers.length === 1 && draft.hover && draft.points.length) { const far = distance(from, draft.hover) || 1; next = [from[0] + ((draft.hover[0] - from[0]) / far) * numbers[0], from[1] + ((draft.hover[1] - from[1]) / far) * numbers[0]]; }
      addPoint([round(next[0], 0.001), round(next[1], 0.001)]).then(() => $("input", panel)?.focus());
    });
    panel.replaceChildren(form); return;
  }
  if (tool === "budget" && panel.dataset.budget) return;
  delete panel.dataset.budget;
  const thing = chosen && find(chosen);
  if (!thing) { panel.replaceChildren(...(pictures.length && canChange ? [element("p", { class: "row" }, button("Scale of the picture", () => use("scale")), ...pictures.map((one) => button(`Remove picture ${one.index + 1}`, async () => { await edit([{ path: at("underlays", one.index), value: null }], "picture removed"); await load(); })))] : [])); return; }
  const save = async (changes, says) => { const told = await edit(changes, says); if (told.ok) await load(); };
  const number = (label, value, does) => { const input = element("input", { value: value ?? "", inputmode: "decimal", disabled: !canChange }); input.addEventListener("change", () => { const made = Number(input.value.replace(",", ".").replace(/\s*m$/, "")); if (input.value.trim() && Number.isNaN(made)) say("A number in metres is wanted, as 12.35", { bad: true }); else does(input.value.trim() ? made : null); }); return field(label, input); };
  const made = element("div", { class: "paper" });
  if (chosen.kind === "wall") {
    const kind = element("select", { disabled: !canChange }, ...data.builds.map((one) => element("option", { value: one.name }, `${one.name} (${Math.round(one.loss)} dB)`))); kind.value = thing.build;
    kind.addEventListener("change", () => { build = kind.value; save([{ path: at("walls", chosen.index, "build"), value: kind.value }], `wall of ${kind.value}`); });
    const long = thing.along.slice(1).reduce((sum, spot, index) => sum + distance(thing.along[index], spot), 0);
    made.append(element("h3", {}, `Wall ${chosen.index + 1}, ${metres(round(long, 0.01))}`), field("Build", kind));
    thing.along.forEach((spot, index) => made.append(element("div", { class: "fields" }, number(`Point ${index + 1}, east`, spot[0], (value) => save([{ path: at("walls", chosen.index, "along", index, 0), value }], "wall moved")), number(`Point ${index + 1}, north`, spot[1], (value) => save([{ path: at("walls", chosen.index, "along", index, 1), value }], "wall moved")))));
    finishPanel(made, ["walls", chosen.index], "wall");
  } else if (chosen.kind === "opening") {
    const key = ["walls", chosen.index, "openings", chosen.opening];
    const kind = element("select", { disabled: !canChange }, element("option", { value: "" }, "open passage"), ...data.builds.map((one) => element("option", { value: one.name }, one.name))); kind.value = thing.build || "";
    kind.addEventListener("change", () => save([{ path: at(...key, "build"), value: kind.value || null }], "what fills the opening"));
    made.append(element("h3", {}, "Opening"), field("Filled with", kind), element("div", { class: "fields" }, ...[["from", "From the wall's first point, m"], ["width", "Width, m"], ["sill", "Sill over the floor, m"], ["head", "Head over the floor, m"]].map(([name, label]) => number(label, thing[name], (value) => save([{ path: at(...key, name), value: value == null ? null : metres(value) }], `opening: ${name}`)))));
    finishPanel(made, key, "opening");
  } else {
    const key = chosen.id.split("/").map((one) => (/^\d+$/.test(one) && chosen.id.includes("antenna_places") ? Number(one) : one)), owner = key.slice(0, -1);
    made.append(element("h3", {}, thing.name), element("div", { class: "fields" }, ...["East, m", "North, m", "Height over the plan's zero, m"].map((label, index) => number(label, thing.at[index], (value) => { if (index === 2) save([{ path: at(...key), value: value == null ? thing.at.slice(0, 2) : [thing.at[0], thing.at[1], value] }], `${thing.name}: height`); else if (value != null) save([{ path: at(...key, index), value }], `${thing.name} moved`); }))));
    if (thing.kind === "aerial" && !thing.other) made.append(coaxForm(thing, save));
    if (thing.kind === "aerial" && thing.other) made.append(element("p", {}, button("Let the aerial stand here", () => useOther(thing))));
    finishPanel(made, owner, thing.kind);
  }
  panel.replaceChildren(made);
}
// An aerial away from its receiver needs a coax; which one and how long is for the person to say, the plan only measures.
function coaxForm(thing, save) {
  const box = data.receivers.find((one) => one.name === thing.of), far = Math.hypot(...[0, 1, 2].map((axis) => (thing.at[axis] ?? 0) - (box.at[axis] ?? 0)));
  if (far <= 0.5 && !box.coax) return "";
  const kind = element("select", { disabled: !canChange }, ...data.coaxes.map((one) => element("option", {}, one))), long = element("input", { inputmode: "decimal", value: box.coax?.length ?? Math.ceil(far + 1), disabled: !canChange });
  kind.value = box.coax?.part || data.coaxes[0];
  const form = element("form", {}, box.coax ? "" : element("p", { class: "notice ask" }, `${metres(round(far, 0.1))} from the receiver: which coax leads there?`), element("div", { class: "fields" }, field("Coax", kind), field("Its length, m", long)), canChange ? element("button", { class: box.coax ? "" : "main" }, "Set the coax") : "");
  form.addEventListener("submit", (event) => { event.preventDefault(); event.stopPropagation(); const value = Number(long.value.replace(",", ".")); if (!(value > 0)) { say("The length is a number in metres, as 9", { bad: true }); return; } save(box.coax ? [{ path: at("receivers", box.name, "antenna", "coax", "part"), value: kind.value }, { path: at("receivers", box.name, "antenna", "coax", "length"), value: metres(value) }] : [{ path: at("receivers", box.name, "antenna", "coax"), value: { part: kind.value, length: metres(value) } }], `coax of ${box.name}`); });
  return form;
}
async function useOther(thing) {
  const box = data.receivers.find((one) => one.name === thing.of), index = Number(thing.key[3]);
  const told = await (await fetch(`${root}/plan/aerialplace?${new URLSearchParams({ premises: premises(), receiver: box.name, index })}`)).json();
  await edit([{ path: at("receivers", box.name, "antenna"), value: told.entry }], `aerial of ${box.name} at its other place ${index + 1}`); await load();
}
function finishPanel(made, key, word) {
  const path = JSON.stringify(at(...key));
  made.append(element("p", { class: "row between" }, canChange ? element("button", { type: "button", class: "stop", onclick: async () => { chosen = null; await edit([{ path: at(...key), value: null }], `${word} removed`); await load(); } }, "Remove") : null, element("button", { type: "button", onclick: () => open(`${root}/entry?path=${encodeURIComponent(path)}`) }, "All details")));
}
function listAll() {
  $("#list").replaceChildren(...data.forbidden.map((one) => element("li", {}, `${one.name ? one.name + ": " : ""}${one.says}`)), ...points().map((one) => element("li", {}, element("button", { type: "button", class: "plain", onclick: () => { chosen = { kind: one.kind, id: id(one.key) }; tool = "select"; inspect(); draw(); svg.focus(); } }, `${one.kind} ${one.name}`))), ...data.walls.map((wall, index) => element("li", {}, element("button", { type: "button", class: "plain", onclick: () => { chosen = { kind: "wall", index }; tool = "select"; inspect(); draw(); svg.focus(); } }, `wall ${index + 1}, ${wall.build}${wall.level ? ", " + wall.level : ""}`))));
}

// -- pointer: mouse, pen and fingers alike ------------------------------------------------------------
const fingers = new Map();
let grip = null, pinch = null;
const spotOf = (event) => { const box = svg.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };
svg.addEventListener("pointerdown", (event) => {
  if (event.button > 1) return;
  svg.focus({ preventScroll: true });
  try { svg.setPointerCapture(event.pointerId); } catch { /* gone already */ }
  const spot = spotOf(event);
  fingers.set(event.pointerId, spot);
  if (fingers.size === 2) { const [a, b] = [...fingers.values()]; pinch = { far: Math.hypot(a[0] - b[0], a[1] - b[1]), s: view.s, middle: world((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) }; grip = null; moving = null; return; }
  const hit = event.target.closest("[data-handle], [data-point], [data-opening], [data-wall]");
  const start = { spot, view: { ...view }, moved: false, at: world(...spot) };
  if (tool === "select" && hit && event.button === 0) {
    if (hit.dataset.handle != null) grip = { ...start, kind: "handle", index: chosen.index, point: Number(hit.dataset.handle) };
    else if (hit.dataset.point) { const one = points().find((each) => id(each.key) === hit.dataset.point); chosen = { kind: one.kind, id: hit.dataset.point }; grip = { ...start, kind: "point", one, id: hit.dataset.point }; }
    else if (hit.dataset.opening) { const [index, opening] = hit.dataset.opening.split("/").map(Number); chosen = { kind: "opening", index, opening }; grip = { ...start, kind: "pan" }; }
    else { chosen = { kind: "wall", index: Number(hit.dataset.wall) }; grip = { ...start, kind: "wall", index: chosen.index, original: data.walls[chosen.index].along }; }
    if (chosen?.kind === "receiver" || chosen?.kind === "aerial") { const name = chosen.id.split("/")[1]; if (receiver() !== name) { $("#receiver").value = name; requestMap({ fine: true }); placesTable(); } }
    inspect(); draw();
  } else grip = { ...start, kind: "pan", tap: tool !== "select", hit };
});
svg.addEventListener("pointermove", (event) => {
  const spot = spotOf(event), here = world(...spot);
  if (fingers.has(event.pointerId)) fingers.set(event.pointerId, spot);
  if (pinch && fingers.size === 2) { const [a, b] = [...fingers.values()]; zoomTo(pinch.s * (Math.hypot(a[0] - b[0], a[1] - b[1]) / pinch.far), pinch.middle, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]); return; }
  if (grip) {
    if (Math.hypot(spot[0] - grip.spot[0], spot[1] - grip.spot[1]) > 4) grip.moved = true;
    if (!grip.moved) return;
    if (grip.kind === "pan") { view.x = grip.view.x - (spot[0] - grip.spot[0]) / view.s; view.y = grip.view.y + (spot[1] - grip.spot[1]) / view.s; draw(); }
    else if (!canChange) return;
    else if (grip.kind === "point") { const to = snapped(here, { free: event.altKey }); moving = { id: grip.id, one: grip.one, to: [to[0], to[1], ...grip.one.at.slice(2)] }; draw(); if (grip.one.kind === "aerial" || grip.one.kind === "receiver") requestMap({ fine: false }); }
    else if (grip.kind === "handle") { data.walls[grip.index].along = data.walls[grip.index].along.map((one, index) => (index === grip.point ? snapped(here, { from: data.walls[grip.index].along[grip.point - 1] || data.walls[grip.index].along[grip.point + 1] }) : one)); draw(); }
    else if (grip.kind === "wall") { const dx = round(here[0] - grip.at[0]), dy = round(here[1] - grip.at[1]); data.walls[grip.index].along = grip.original.map((one) => [round(one[0] + dx, 0.001), round(one[1] + dy, 0.001), ...one.slice(2)]); draw(); }
  } else if (draft) { draft.hover = snapped(here, { from: draft.points.at(-1) }); draw(); }
  if (event.pointerType === "mouse" || grip) { const share = shareAt(shownGrid(), here); pointer.textContent = `${here[0].toFixed(2)}, ${here[1].toFixed(2)} m${share == null || !$("#show-map").checked ? "" : ` · ${inWords(share)}`}`; }
});
const inWords = (share) => ($("#compare").value === "difference" ? `${share > 0 ? "+" : ""}${Math.round(share * 100)} % against A` : `${share > 0.995 ? "over 99" : Math.round(share * 100)} % ${presses() === 1 ? "of single presses heard" : `heard within ${presses()} presses`}`);
async function release(event) {
  fingers.delete(event.pointerId);
  if (fingers.size < 2 && pinch) { pinch = null; requestMap({ fine: true }); return; }
  const held = grip; grip = null;
  if (!held) return;
  const here = world(...spotOf(event));
  if (held.kind === "pan") { if (!held.moved && held.tap) await addPoint(snapped(here, { from: draft?.points.at(-1), free: tool === "budget" })); else if (!held.moved) { chosen = held.hit ? chosen : null; inspect(); draw(); } else requestMap({ fine: true }); }
  else if (held.moved && canChange) {
    if (held.kind === "point" && moving) { const { one, to } = moving; const changes = [0, 1].filter((index) => to[index] !== one.at[index]).map((index) => ({ path: at(...numbered(one.key), index), value: to[index] })); one.at.splice(0, 2, to[0], to[1]); if (changes.length) await edit(changes, `${one.name} moved`); moving = null; await load(); }
    else if (held.kind === "handle") { const spot = data.walls[held.index].along[held.point]; await edit([0, 1].map((index) => ({ path: at("walls", held.index, "along", held.point, index), value: spot[index] })), "wall changed"); await load(); }
    else if (held.kind === "wall") { const changes = data.walls[held.index].along.flatMap((spot, point) => [0, 1].map((index) => ({ path: at("walls", held.index, "along", point, index), value: spot[index] }))); await edit(changes, "wall moved"); await load(); }
  }
}
const numbered = (key) => key.map((one) => one);
svg.addEventListener("pointerup", release);
svg.addEventListener("pointercancel", (event) => { fingers.delete(event.pointerId); grip = null; pinch = null; moving = null; load(); });
svg.addEventListener("dblclick", () => { if (draft && draft.points.length > 1) finish(); });
svg.addEventListener("wheel", (event) => { event.preventDefault(); const spot = spotOf(event); zoomTo(view.s * Math.exp(-event.deltaY * 0.0016), world(...spot), spot); clearTimeout(zoomTo.later); zoomTo.later = setTimeout(() => requestMap({ fine: true }), 250); }, { passive: false });
function zoomTo(s, fixed, [X, Y]) { view.s = Math.min(600, Math.max(0.05, s)); view.x = fixed[0] - X / view.s; view.y = fixed[1] - (size().h - Y) / view.s; draw(); }
const step = (factor) => { const { w, h } = size(); zoomTo(view.s * factor, world(w / 2, h / 2), [w / 2, h / 2]); requestMap({ fine: true }); };
$("#closer").addEventListener("click", () => step(1.4)); $("#farther").addEventListener("click", () => step(1 / 1.4)); $("#whole").addEventListener("click", () => { fitAll(); draw(); requestMap({ fine: true }); });

// -- keys ---------------------------------------------------------------------------------------------
const TOOLS = { v: "select", w: "wall", o: "opening", l: "level", s: "slab", p: "place", r: "receiver", a: "aerial", c: "cable", m: "measure", b: "budget" };
let later = null;
svg.addEventListener("keydown", async (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const key = event.key, arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  if (arrows[key]) {
    event.preventDefault();
    const far = snapStep() * (event.shiftKey ? 10 : 1), [dx, dy] = arrows[key].map((one) => one * far), thing = tool === "select" && chosen?.id ? find(chosen) : null;
    if (thing && canChange) {
      const from = moving?.id === chosen.id ? moving.to : thing.at, to = [round(from[0] + dx, 0.001), round(from[1] + dy, 0.001), ...thing.at.slice(2)];
      moving = { id: chosen.id, one: thing, to }; draw(); requestMap({ fine: false });
      clearTimeout(later); later = setTimeout(async () => { const { one, to: end } = moving; moving = null; one.at.splice(0, 2, end[0], end[1]); await edit([0, 1].map((index) => ({ path: at(...one.key, index), value: end[index] })), `${one.name} moved`); await load(); svg.focus(); }, 700);
    } else { const { w, h } = size(); cross ||= world(w / 2, h / 2).map((one) => round(one)); cross = [round(cross[0] + dx, 0.001), round(cross[1] + dy, 0.001)]; if (draft) draft.hover = cross; const share = shareAt(shownGrid(), cross); hint.textContent = `${cross[0].toFixed(2)}, ${cross[1].toFixed(2)} m${share == null ? "" : ` · ${inWords(share)}`}`; draw(); }
  } else if (key === " " && cross) { event.preventDefault(); await addPoint([...cross]); }
  else if (key === "Enter") { event.preventDefault(); if (draft?.points.length > 1) finish(); else if (cross && tool !== "select") await addPoint([...cross]); }
  else if (key === "Escape") { use("select"); chosen = null; inspect(); draw(); }
  else if (key === "Backspace" && draft) { draft.points.pop(); draw(); }
  else if (key === "Delete" && chosen && canChange) $("button.stop", panel)?.click();
  else if (key === "+" || key === "=") step(1.4); else if (key === "-") step(1 / 1.4);
  else if (TOOLS[key.toLowerCase()] && $(`[data-tool="${TOOLS[key.toLowerCase()]}"]`)) use(TOOLS[key.toLowerCase()]);
});

// -- reach: coarse at once while something is dragged, fine when it rests --------------------------------
const shownGrid = () => { const which = keptA ? $("#compare").value : "now"; if (which === "A") return keptA.grid; if (which === "difference" && keptA && grid) return { ...grid, difference: true, values: grid.values.map((row, y) => row.map((value, x) => { const [px0, py0] = [grid.left + ((x + 0.5) * (grid.right - grid.left)) / row.length, grid.low + ((y + 0.5) * (grid.high - grid.low)) / grid.values.length], was = shareAt(keptA.grid, [px0, py0]); return value < 0 || was == null ? -9 : value - was; })) }; return grid; };
let contourCache = { of: null, list: [] };
function shownContours() { if (!$("#show-map").checked || !grid || (keptA && $("#compare").value === "difference")) return []; const which = shownGrid(); if (contourCache.of !== which) contourCache = { of: which, list: contours(which, presses()) }; return contourCache.list; }
let running = false, wanted = null;
async function requestMap({ fine }) {
  if (!$("#show-map").checked || !data?.receivers.length) { if (data && !data.receivers.length) $("#mapstate").textContent = "Draw a receiver to see its reach."; return; }
  if (running) { if (!fine) mapJob?.coarse || mapJob?.abort(); wanted = { fine: fine || (wanted?.fine ?? false) && !moving }; return; }
  running = true;
  const control = new AbortController(); control.coarse = !fine; mapJob = control;
  const { w, h } = size(), [left, low] = world(0, h), [right, high] = world(w, 0), aspect = w / h;
  const budget = fine ? 6400 : 700, rows = Math.max(4, Math.round(Math.sqrt(budget / aspect))), columns = Math.max(4, Math.round(rows * aspect));
  const shifted = moving && (moving.one.kind === "aerial" ? moving.one.of : moving.one.name) === receiver() && !moving.one.other ? moving.to : moving?.one.other && moving.one.of === receiver() ? moving.to : null;
  const begun = performance.now();
  try {
    const told = await (await fetch(`${root}/plan/map?${new URLSearchParams({ premises: premises(), receiver: receiver(), level: level() || "", left, low, right, high, columns, rows, presses: presses(), ...(shifted ? { aerial: shifted.join(",") } : {}) })}`, { headers: { Accept: "application/json" }, signal: control.signal })).json();
    if (told.shares) {
      grid = { left, low, right, high, values: told.shares.map((row) => row.map((one) => (one < 0 ? -1 : one / 1000))) };
      board.dataset.map = `${fine ? "fine" : "coarse"} ${Math.round(performance.now() - begun)}`; board.dataset.maps = Number(board.dataset.maps || 0) + 1;
      $("#mapstate").textContent = `fob of ${told.group}${told.notes.length ? "; " + told.notes[0] : ""}`;
    } else if (told.wait) { grid = null; if ($("#mapstate").textContent !== told.says) $("#mapstate").textContent = told.says; clearTimeout(requestMap.later); requestMap.later = setTimeout(() => requestMap({ fine: true }), 1000); running = false; return;
    } else { grid = null; $("#mapstate").textContent = told.says || ""; board.dataset.maps = Number(board.dataset.maps || 0) + 1; }
  } catch (error) { if (error.name !== "AbortError") $("#mapstate").textContent = "The map could not be drawn."; }
  running = false; draw();
  if (wanted) { const next = wanted; wanted = null; requestMap(next); } else if (!fine) { clearTimeout(requestMap.later); requestMap.later = setTimeout(() => requestMap({ fine: true }), 180); }
}
async function placesTable() {
  const place = $("#places");
  if (!data.receivers.length) { place.replaceChildren(); return; }
  const list = await (await get("places", { receiver: receiver() })).json();
  const worst = new Map();
  for (const one of list) { const there = worst.get(one.place); if (!there || (one.share ?? -1) - one.atLeast < (there.share ?? -1) - there.atLeast) worst.set(one.place, one); }
  placesTable.now = [...worst.values()];
  const percent = (value) => (value == null ? "open" : `${value > 0.995 ? "> 99" : Math.round(value * 100)} %`), had = keptA?.receiver === receiver() ? new Map(keptA.places.map((one) => [one.place, one])) : null;
  place.replaceChildren(element("table", {}, element("caption", {}, "From each place"), element("thead", {}, element("tr", {}, ...["Place", ...(had ? ["A"] : []), "Heard", "Promised"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, ...placesTable.now.map((one) => element("tr", {}, element("td", {}, one.place), ...(had ? [element("td", { class: "number" }, percent(had.get(one.place)?.share))] : []), element("td", { class: `number ${one.share == null ? "open" : one.share < one.atLeast ? "fails" : "holds"}` }, `${percent(one.share)}${one.share == null ? "" : one.share < one.atLeast ? " too little" : ""}`), element("td", { class: "number" }, percent(one.atLeast)))))));
}
async function budgetAt(spot) {
  const answer = await get("budget", { receiver: receiver(), x: spot[0], y: spot[1], level: level() || "" }).catch((error) => say(error.message, { bad: true }));
  if (!answer) return;
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  panel.dataset.budget = "1"; panel.replaceChildren(...made.body.childNodes); panel.scrollIntoView({ block: "nearest" });
}
$("#keep").addEventListener("click", () => { if (!grid) return; keptA = { grid, presses: presses(), receiver: receiver(), places: placesTable.now || [] }; $("#compare-box").hidden = false; say("This is variant A now. Change something, then look at the difference."); placesTable(); });
for (const name of ["#show-map", "#level", "#compare"]) $(name).addEventListener("change", () => { draw(); requestMap({ fine: true }); });
$("#presses").addEventListener("change", () => {
  if (keptA && keptA.presses !== presses()) { keptA = null; $("#compare").value = "now"; $("#compare-box").hidden = true; say("Variant A was of another number of presses; keep it anew to compare."); placesTable(); }
  contourCache.of = null; requestMap({ fine: true });
});
$("#receiver").addEventListener("change", () => { requestMap({ fine: true }); placesTable(); });
$("#premises").addEventListener("change", () => { const where = new URL(location.href); where.searchParams.set("premises", premises()); history.replaceState(null, "", where); chosen = null; grid = null; keptA = null; load({ fit: true }); });

// -- import -----------------------------------------------------------------------------------------------
const importer = $("#importer");
$("#import")?.addEventListener("click", () => { $("#layers").replaceChildren(); importer.showModal(); });
$("#importer-close").addEventListener("click", () => importer.close());
$("#importform").addEventListener("submit", async (event) => {
  event.preventDefault(); event.stopPropagation();
  const body = new FormData(event.target); body.append("premises", premises()); body.append("level", level() || "");
  const told = await (await fetch(`${root}/plan/import`, { method: "POST", body, headers: { Accept: "application/json" } })).json().catch(() => ({ ok: false, says: "The file is too large, or the connection broke." }));
  if (!told.ok) { say([told.says, ...(told.faults || []).map((one) => one.says)].join(" "), { bad: true }); return; }
  if (!told.drawing) { importer.close(); say("The picture lies under the plan. Set its scale: click two points whose distance you know."); await load({ fit: true }); use("scale"); return; }
  const unit = element("input", { value: told.unitM ?? "", inputmode: "decimal", placeholder: "metres, as 0.001" }), kinds = new Map();
  const shown = element("p", { class: "soft" }); const tell = () => { const value = Number(unit.value); shown.textContent = value > 0 ? `The whole drawing is ${(told.width * value).toFixed(2)} by ${(told.height * value).toFixed(2)} m. Is that right?` : "Say how long one unit of the drawing is, in metres."; };
  unit.addEventListener("input", tell); tell();
  $("#layers").replaceChildren(field(`One unit of the drawing is, m${told.unit ? ` (it says ${told.unit})` : ""}`, unit), shown, element("table", {}, element("thead", {}, element("tr", {}, ...["Layer", "Lines", "Becomes walls of"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, ...told.layers.map((one) => { const select = element("select", { "aria-label": `Build of layer ${one.name}` }, element("option", { value: "" }, "left out"), ...data.builds.map((each) => element("option", {}, each.name))); kinds.set(one.name, select); return element("tr", {}, element("td", {}, one.name), element("td", { class: "number" }, one.lines), element("td", {}, select)); }))), element("p", { class: "row end" }, element("button", { type: "button", class: "main", onclick: async () => { const done = await send(`${root}/plan/layers`, { drawing: told.drawing, premises: premises(), level: level(), unitM: Number(unit.value), builds: Object.fromEntries([...kinds].map(([name, select]) => [name, select.value])) }); if (done.ok) { importer.close(); say(done.says, { action: { says: "Undo", does: undo } }); await load({ fit: true }); } else say([done.says, ...(done.faults || []).map((one) => one.says)].join(" "), { bad: true }); } }, "Draw these walls")));
});

document.addEventListener("desk:changed", () => load()); document.addEventListener("desk:stepped", () => load()); document.addEventListener("desk:look", draw);
svg.addEventListener("focus", draw); svg.addEventListener("blur", draw);
new ResizeObserver(() => { draw(); }).observe(board);
legend($("#legend"));
load({ fit: true }).catch((error) => say(error.message, { bad: true }));
