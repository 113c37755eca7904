// Import: a DXF drawing becomes walls, layer by layer; a picture or a PDF page is laid under the plan.
import { $, root, element, say, send, undo } from "../desk.js";
import { state, load, level, premises } from "./state.js";
import { measure } from "./geometry.js";
import { use } from "./tools.js";
import { field } from "./forms.js";

const dialogue = $("#importer");
const together = (told) => [told.says, ...(told.faults || []).map((one) => one.says)].join(" ");

$("#import")?.addEventListener("click", () => { $("#layers").replaceChildren(); dialogue.showModal(); });
$("#importer-close").addEventListener("click", () => dialogue.close());
$("#importform").addEventListener("submit", async (event) => {
  event.preventDefault();
  event.stopPropagation();
  const body = new FormData(event.target);
  body.append("premises", premises());
  body.append("level", level() || "");
  const told = await sent(body);
  if (!told.ok) { say(together(told), { bad: true }); return; }
  if (told.drawing) { $("#layers").replaceChildren(...layersForm(told)); return; }
  dialogue.close();
  say("The picture lies under the plan. Set its scale: click two points whose distance you know.");
  await load({ fit: true });
  use("scale");
});

async function sent(body) {
  try {
    return await (await fetch(`${root}/plan/import`, { method: "POST", body, headers: { Accept: "application/json" } })).json();
  } catch {
    return { ok: false, says: "The file is too large, or the connection broke." };
  }
}

function layersForm(told) {
  const unit = element("input", { value: told.unitM ?? "", inputmode: "decimal", placeholder: "metres, as 0.001" });
  const shown = element("p", { class: "soft" }), kinds = new Map();
  const tell = () => {
    const value = measure(unit.value);
    shown.textContent = value > 0 ? `The whole drawing is ${(told.width * value).toFixed(2)} by ${(told.height * value).toFixed(2)} m. Is that right?` : "Say how long one unit of the drawing is, in metres.";
  };
  unit.addEventListener("input", tell);
  tell();
  const rows = told.layers.map((one) => {
    const select = element("select", { "aria-label": `Build of layer ${one.name}` }, element("option", { value: "" }, "left out"), ...state.data.builds.map((each) => element("option", {}, each.name)));
    kinds.set(one.name, select);
    return element("tr", {}, element("td", {}, one.name), element("td", { class: "number" }, one.lines), element("td", {}, select));
  });
  const heads = ["Layer", "Lines", "Becomes walls of"].map((word) => element("th", { scope: "col" }, word));
  const take = async () => {
    const builds = Object.fromEntries([...kinds].map(([name, select]) => [name, select.value]));
    const done = await send(`${root}/plan/layers`, { drawing: told.drawing, premises: premises(), level: level(), unitM: measure(unit.value), builds });
    if (!done.ok) { say(together(done), { bad: true }); return; }
    dialogue.close();
    say(done.says, { action: { says: "Undo", does: undo } });
    await load({ fit: true });
  };
  return [
    field(`One unit of the drawing is, m${told.unit ? ` (it says ${told.unit})` : ""}`, unit),
    shown,
    element("table", {}, element("thead", {}, element("tr", {}, ...heads)), element("tbody", {}, ...rows)),
    element("p", { class: "row end" }, element("button", { type: "button", class: "main", onclick: take }, "Draw these walls")),
  ];
}
