// The bar over the plan: which level, which receiver. It comes first: drawing, panel and map ask for both.
import { $, element } from "../desk.js";
import { state, when, draw, level, receiver } from "./state.js";
import { fitAll } from "./geometry.js";

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
