// Mend: look for a plan with progress, stop with the best, tick, try on a copy, apply; Undo takes it back.
import { $, $$, say, send, undo, refresh, refused, root } from "./desk.js";
import { searched } from "./long.js";

document.addEventListener("submit", async (event) => {
  const form = event.target.closest("#mendform, #steps-form");
  if (!form) return;
  event.preventDefault();
  if (form.id !== "mendform") return;
  const button = $("#find"), wish = Object.fromEntries(["keep", "forbid", "budget"].map((name) => [name, form.elements[name].value]));
  button.disabled = true;
  const told = await searched("/mend/find", wish, $("#far"), "/mend/enough");
  button.disabled = false;
  if (!told) return;
  if (!told.ok) { $("#far").textContent = told.says; refused(told); return; }
  await refresh();
  const head = $("#plan-head");
  if (head) { head.tabIndex = -1; head.focus(); }
});

const ticked = () => $$("#steps-form [name=step]:checked").map((one) => Number(one.value));
document.addEventListener("click", async (event) => {
  const id = event.target.closest("#steps-form button")?.id;
  if (id === "none" || id === "all") for (const one of $$("#steps-form [name=step]:enabled")) one.checked = id === "all";
  if (id === "try") {
    event.target.disabled = true;
    const told = await searched("/mend/try", { steps: ticked() }, $("#tried"));
    event.target.disabled = false;
    if (told) $("#tried").textContent = told.says;
  }
  if (id === "apply") {
    event.target.disabled = true;
    const told = await send(`${root}/mend/apply`, { steps: ticked() });
    event.target.disabled = false;
    if (!told.ok) { refused(told); return; }
    say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
    await refresh();
  }
});
