// Design: variants drawn with progress, stopped with those that are whole, one taken; a choice fixed and drawn again.
import { $, $$, say, send, undo, refresh, refused, root } from "./desk.js";
import { searched } from "./long.js";

document.addEventListener("submit", async (event) => {
  const form = event.target.closest("#designform");
  if (!form) return;
  event.preventDefault();
  const button = $("#find"), wish = Object.fromEntries(["keep", "forbid", "fix"].map((name) => [name, form.elements[name].value]));
  wish.anew = $$("[name=anew]:checked", form).map((box) => box.value).join("\n");
  button.disabled = true;
  const told = await searched("/design/find", wish, $("#far"), "/design/enough");
  button.disabled = false;
  if (!told) return;
  if (!told.ok) { $("#far").textContent = told.says; refused(told); return; }
  await refresh();
  const head = $("#design-head");
  if (head) { head.tabIndex = -1; head.focus(); }
});

// A premises has other choices than a function.
function fitKeys() {
  const kind = $("#fix-about")?.selectedOptions[0]?.dataset.kind, keys = $("#fix-key");
  if (!keys) return;
  for (const option of keys.options) option.hidden = option.disabled = option.dataset.kind !== kind;
  if (keys.selectedOptions[0]?.disabled ?? true) keys.value = [...keys.options].find((option) => !option.disabled)?.value;
  $("#fix-says").textContent = keys.selectedOptions[0]?.dataset.says || "";
}
fitKeys();
document.addEventListener("change", (event) => { if (event.target.closest("#fixer select")) fitKeys(); });

// A later choice for the same thing takes the place of an earlier one.
function fix(lines) {
  const field = $("#fix"), left = (line) => line.split("=")[0].trim();
  const others = field.value.split("\n").filter((line) => line.trim() && !lines.some((added) => left(added) === left(line)));
  field.value = [...others, ...lines].join("\n");
  field.rows = Math.max(others.length + lines.length + 1, 3);
  say(`Fixed: ${lines.join("; ")}. Draw it up anew.`);
}

document.addEventListener("click", async (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.id === "fix-add") {
    const value = $("#fix-value").value.trim();
    if (value) { fix([`${$("#fix-about").value}.${$("#fix-key").value}=${value}`]); $("#fix-value").value = ""; } else $("#fix-value").focus();
  }
  if (button.dataset.fix) fix(button.dataset.fix.split("\n"));
  if (button.dataset.pick) {
    button.disabled = true;
    const told = await send(`${root}/design/pick`, { variant: Number(button.dataset.pick) });
    button.disabled = false;
    if (!told.ok) { refused(told); return; }
    say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
    await refresh();
    fitKeys();
  }
});
