// What the tools draw into the job: walls, slabs, openings, aerials; lengths, places and receivers by their forms.
import { say } from "../desk.js";
import { state, hint, draw, edit, load, at, level, receiver } from "./state.js";
import { metres, round, distance, nearestWall } from "./geometry.js";
import { addTool, use } from "./tools.js";
import { askName, askLevel, askCable, askOrigin, askScale } from "./forms.js";
import { budgetAt } from "./maps.js";

const REACH = 18; // points of the screen from which a wall is meant
const same = (a, b) => a.length === b.length && a.every((one, index) => distance(one, b[index]) < 1e-6);

export const lastBuild = () => {
  const { data } = state;
  return state.build || data.walls.at(-1)?.build || data.builds.find((one) => one.name.startsWith("brick"))?.name || data.builds[0].name;
};

addTool("wall", {
  draws: 2, closes: true, title: "Wall",
  hint: "Click corner after corner; Enter, double click or a click on the first point ends the wall. Type a length on the right.",
  async end(list) {
    const { walls } = state.data, entry = { ...(level() ? { level: level() } : { base: "0 m", top: "2.5 m" }), build: lastBuild(), along: list };
    const told = await edit([walls.length ? { path: at("walls", walls.length), value: entry } : { path: at("walls"), value: [entry] }], "a wall drawn");
    if (!told.ok) return;
    await load({ choose: (data) => { const index = data.walls.findLastIndex((wall) => same(wall.along, list)); return index < 0 ? null : { kind: "wall", index }; } });
  },
});

addTool("slab", {
  draws: 3, closes: true, title: "Slab",
  hint: "Click round the storey's slab; Enter closes it.",
  async end(list) {
    if (!level()) { say("A slab belongs to a level; choose one first.", { bad: true }); return; }
    const outline = distance(list[0], list.at(-1)) < 1e-6 ? list.slice(0, -1) : list;
    if (outline.length < 3) { say("A slab has three corners or more.", { bad: true }); return; }
    const told = await edit([{ path: at("levels", level(), "outline"), value: outline }], `slab outline of ${level()}`);
    if (told.ok) await load();
  },
});

addTool("cable", { draws: 2, title: "Cable", hint: "Click along the cable's way; Enter ends it.", end: async (list) => { askCable(list); return true; } });

addTool("opening", {
  hint: "Click on a wall where the door or window is.",
  async click(spot) {
    let hit = nearestWall(spot);
    const far = () => !hit || hit.off * state.view.s > REACH;
    if (far()) { await load(); hit = nearestWall(spot); } // a wall just drawn may not have come back yet
    if (far()) { hint.textContent = "Click on a wall of this level."; return; }
    const { openings } = state.data.walls[hit.index], number = openings.length;
    const build = state.data.builds.find((one) => one.name === "timber door")?.name || state.data.builds[0].name;
    const entry = { from: metres(Math.max(0, round(hit.from - 0.45))), width: "0.9 m", head: "2 m", build };
    const told = await edit([number ? { path: at("walls", hit.index, "openings", number), value: entry } : { path: at("walls", hit.index, "openings"), value: [entry] }], "an opening drawn");
    if (!told.ok) return;
    use("select");
    await load({ choose: () => ({ kind: "opening", index: hit.index, opening: number }) });
  },
});

addTool("aerial", {
  hint: "Click where the aerial of the chosen receiver stands.",
  async click(spot) {
    const box = state.data.receivers.find((one) => one.name === receiver());
    if (!box) { say(state.data.receivers.length ? "Choose under Reach which receiver's aerial it is." : "Draw a receiver first.", { bad: true }); return; }
    const path = ["receivers", box.name, "antenna"], where = [spot[0], spot[1], box.aerial?.[2] ?? box.at[2] ?? 2.5];
    const changes = box.aerial ? [0, 1].map((index) => ({ path: at(...path, "at", index), value: where[index] })) : [{ path: at(...path), value: { part: state.data.aerials[0], at: where } }];
    const told = await edit(changes, `aerial of ${box.name} set`);
    if (!told.ok) return;
    use("select");
    await load({ choose: () => ({ kind: "aerial", id: [...path, "at"].join("/") }) });
  },
});

addTool("place", { hint: "Click where somebody presses.", click: async (spot) => askName("place", spot) });
addTool("receiver", { hint: "Click where the receiver hangs.", click: async (spot) => askName("receiver", spot) });
addTool("mount", { hint: "Click where a box or an aerial could be mounted.", click: async (spot) => askName("mount", spot) });
addTool("origin", { hint: "Click the spot that all measures shall be taken from.", click: async (spot) => askOrigin(spot) });
addTool("level", { hint: "", taken: askLevel });
addTool("budget", { hint: "Click anywhere: how a press from there is heard.", click: budgetAt });

const twoPoints = (then) => async (spot) => {
  const { draft } = state;
  if (draft.points.length >= 2) draft.points = [];
  draft.points.push(spot);
  if (draft.points.length === 2) {
    const [a, b] = draft.points, part = (axis) => metres(Math.abs(round(b[axis] - a[axis], 0.001)));
    hint.textContent = `${metres(round(distance(a, b), 0.001))} (${part(0)} east-west, ${part(1)} north-south)`;
    then?.(a, b);
  }
  draw();
};
addTool("measure", { measures: true, hint: "Click two points.", click: twoPoints() });
addTool("scale", { measures: true, hint: "Click two points of the picture whose distance is known.", click: twoPoints(askScale) });
