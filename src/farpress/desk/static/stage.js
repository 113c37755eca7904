// What moves, where it stands: walls as lines, devices and panels with their state at the moment that is shown.
const NS = "http://www.w3.org/2000/svg", WIDE = 560, MOST = 300, EDGE = 46;
const make = (name, attributes, ...children) => { const made = document.createElementNS(NS, name); for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value); made.append(...children); return made; };

/** Where a label of some width stands beside its spot so that it lies on no other; the first place that is free. */
export function labelled(spots, { width, height = 15, wide, tall }) {
  const taken = spots.map(({ x, y }) => [x - 8, y - 8, x + 8, y + 8]);
  return spots.map((spot) => {
    const w = width(spot), places = [];
    for (const away of [12, 26, 42, 60, 80]) places.push([spot.x + away, spot.y + 4, "start"], [spot.x - away, spot.y + 4, "end"], [spot.x, spot.y - away, "middle"], [spot.x, spot.y + away + 10, "middle"]);
    const box = ([x, y, anchor]) => { const left = anchor === "start" ? x : anchor === "end" ? x - w : x - w / 2; return [left, y - height + 3, left + w, y + 4]; };
    const free = ([a, b, c, d]) => a >= 0 && c <= wide && b >= 0 && d <= tall && !taken.some(([p, q, r, s]) => a < r && p < c && b < s && q < d);
    const place = places.find((one) => free(box(one)));
    if (!place) return null;
    taken.push(box(place));
    return place;
  });
}

/** The state of a track at a moment, empty at rest; what lasts to the end of the line lasts on. */
export const stands = (told, track, now) => track.spans.find(([from, to]) => from <= now && (now < to || to >= told.ends))?.[2] || "";

export class Stage {
  constructor(box, plan) { this.box = box; this.plan = plan; this.key = ""; this.parts = new Map(); }

  /** The things that a story touches, on the plan of their premises. */
  begin(told) {
    const touched = new Set(Object.keys(told.states)), parts = [];
    this.parts = new Map();
    for (const [premises, { walls, things }] of Object.entries(this.plan)) {
      const mine = things.filter((one) => touched.has(one.path));
      if (!mine.length) continue;
      const every = [...walls.flat(), ...mine.map((one) => one.at)], xs = every.map(([x]) => x), ys = every.map(([, y]) => y);
      const low = [Math.min(...xs), Math.min(...ys)], span = [Math.max(1, Math.max(...xs) - low[0]), Math.max(1, Math.max(...ys) - low[1])];
      const scale = Math.min((WIDE - 2 * EDGE) / span[0], (MOST - 2 * EDGE) / span[1]), tall = span[1] * scale + 2 * EDGE;
      const P = ([x, y]) => [(x - low[0]) * scale + (WIDE - span[0] * scale) / 2, tall - EDGE - (y - low[1]) * scale];
      const there = new Map(); // areas of one panel hang at one place: they stand side by side
      const spots = mine.map((one) => { const [x, y] = P(one.at), key = String(one.at), beside = there.get(key) || 0; there.set(key, beside + 1); return { ...one, x: x + 15 * beside, y }; });
      const places = labelled(spots, { width: (one) => 6.6 * Math.max(one.name.length, 18), height: 29, wide: WIDE, tall });
      const svg = make("svg", { viewBox: `0 0 ${WIDE} ${Math.round(tall)}`, width: WIDE, height: Math.round(tall), role: "img", "aria-label": `Plan of ${premises} with what moves` }, ...walls.map((wall) => make("path", { class: "wall", d: wall.map((spot, index) => `${index ? "L" : "M"}${P(spot).map((value) => value.toFixed(1)).join(" ")}`).join("") })));
      spots.forEach((one, index) => {
        const place = places[index], state = make("tspan", { class: "state" }), spot = make("circle", { cx: one.x, cy: one.y, r: 6 });
        const name = place && make("tspan", {}, one.name), text = place && make("text", { x: place[0], y: place[1] - 7, "text-anchor": place[2] }, name, state);
        if (place) { state.setAttribute("x", place[0]); state.setAttribute("dy", 13); }
        const group = make("g", { class: "thing" }, make("title", {}, one.name), spot, ...(text ? [text] : []));
        svg.append(group);
        this.parts.set(one.path, { group, state });
      });
      parts.push(svg);
    }
    this.box.replaceChildren(...parts);
  }

  show(told, now) {
    const key = Object.keys(told.states).join(" ");
    if (key !== this.key) { this.key = key; this.begin(told); }
    const lost = told.tracks.some((one) => one.says === "supply" && one.name === "power" && stands(told, one, now));
    this.box.classList.toggle("dark", lost);
    for (const [path, { group, state }] of this.parts) {
      const span = told.tracks.filter((one) => one.name === path).map((one) => stands(told, one, now)).find(Boolean);
      group.classList.toggle("moved", Boolean(span));
      group.classList.toggle("moving", /ing$|^up$|^down$/.test(span || ""));
      state.textContent = span || told.states[path];
    }
  }
}
