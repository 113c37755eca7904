// The tools: what is taken up, and what a click does with it. Each tool adds itself.
import { $$ } from "../desk.js";
import { state, svg, hint, draw, inspect } from "./state.js";
import { distance, length } from "./geometry.js";

const tools = { select: { hint: "" } };
/**
 * Add a tool. `click(spot)` is what one click does; a tool that `draws` gathers points (`title` heads its panel) and
 * ends with `end(points)`; `closes` tells that the first point clicked again ends it; `taken()` runs when it is taken up.
 */
export const addTool = (name, tool) => { tools[name] = tool; };
export const drawing = () => tools[state.tool].draws ? tools[state.tool] : null;

/** Take up a tool. */
export function use(name) {
  const tool = tools[name];
  state.tool = name;
  state.draft = tool.draws || tool.measures ? { points: [], hover: null } : null;
  $$("[data-tool]").forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.tool === name)));
  hint.textContent = tool.hint;
  svg.style.cursor = name === "select" ? "default" : "crosshair";
  if (name !== "select") state.chosen = null;
  inspect();
  draw();
  tool.taken?.();
}
$$("[data-tool]").forEach((one) => one.addEventListener("click", () => { use(one.dataset.tool); svg.focus({ preventScroll: true }); }));

/** What one click or Space does with the tool in hand. */
export async function addPoint(spot) {
  const tool = tools[state.tool], { draft } = state;
  if (!tool.draws) { await tool.click?.(spot); return; }
  if (tool.closes && draft.points.length > 1 && distance(spot, draft.points[0]) < 1e-6) { draft.points.push([...draft.points[0]]); await finish(); return; }
  const last = draft.points.at(-1);
  if (!last || distance(last, spot) > 1e-6) draft.points.push(spot);
  inspect();
  draw();
}

/** End what is being drawn. */
export async function finish() {
  const tool = drawing();
  if (!tool || !state.draft) return;
  const list = state.draft.points.map(([x, y]) => [x, y]);
  state.draft = { points: [], hover: null };
  const asks = list.length >= tool.draws && length(list) > 0 && (await tool.end(list));
  if (!asks) inspect();
  draw();
}

export function backOnePoint() {
  state.draft?.points.pop();
  draw();
}
