// The bar over the plan: which level, which receiver. It comes first: drawing, panel and map ask for both.
import { $, element } from "../desk.js";
import { state, when, draw, level, receiver } from "./state.js";
import { fitAll } from "./geometry.js";

when("shown", ({ fit }) => {
  choices($("#level"), [...state.data.levels.map((one) => [one.name, one.name]), ["", "out of doors"]], level() ?? (fit ? null : ""));
  const boxes = state.data.receivers.map((one) => [one.name, one.name]);
  choices($("#receiver"), boxes.length > 1 ? [...boxes, ["", "every receiver"]] : boxes, fit ? null : receiver());
  fobs();
  choices($("#held"), state.data.grips.map((one) => [one, one]), $("#held").value);
  if (fit) fitAll();
  draw();
});
/** The groups whose fob works the shown receiver, or any. */
export function fobs() {
  const works = Object.entries(state.data.groups).filter(([, boxes]) => !receiver() || boxes.includes(receiver()));
  choices($("#group"), works.map(([name]) => [name, name]), $("#group").value);
}
function choices(select, entries, was) {
  select.replaceChildren(...entries.map(([value, label]) => element("option", { value }, label)));
  select.value = entries.some(([value]) => value === was) ? was : entries[0]?.[0] ?? "";
}
