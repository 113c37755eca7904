// The plan editor: draw with mouse, finger or keys; the reach of every press follows.
import { $, element, say } from "./desk.js";
import { legend } from "./reach.js";
import { state, svg, board, when, draw, load, level, receiver } from "./plan/state.js";
import { fitAll } from "./plan/geometry.js";

// What is to choose from comes first: drawing, panel and map ask for the level and the receiver.
when("shown", ({ fit }) => {
  choices($("#level"), [...state.data.levels.map((one) => [one.name, one.name]), ["", "out of doors"]], level() ?? (fit ? null : ""));
  choices($("#receiver"), state.data.receivers.map((one) => [one.name, one.name]), receiver());
  if (fit) fitAll();
  draw();
});
function choices(select, entries, was) {
  select.replaceChildren(...entries.map(([value, label]) => element("option", { value }, label)));
  select.value = entries.some(([value]) => value === was) ? was : entries[0]?.[0] ?? "";
}

await import("./plan/drawing.js");
await import("./plan/panel.js");
await import("./plan/maps.js");
await import("./plan/keyboard.js");
await import("./plan/importer.js");

for (const event of ["desk:changed", "desk:stepped"]) document.addEventListener(event, () => load().catch(() => {}));
document.addEventListener("desk:look", draw);
svg.addEventListener("focus", draw);
svg.addEventListener("blur", draw);
new ResizeObserver(draw).observe(board);
legend($("#legend"));
load({ fit: true }).catch((error) => say(error.message, { bad: true }));
