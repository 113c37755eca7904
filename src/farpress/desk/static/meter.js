// The meter: every choice is read at once; focus stays where it is. Keyboard alone does all of it.
import { $, send, say, undo, root, refused } from "./desk.js";

const form = () => $("#meterform");
function fields() { const values = new URLSearchParams(new FormData(form())); const fault = values.get("fault"); if (!fault) values.delete("core"); if (fault !== "swapped" && fault !== "shorted") values.delete("other"); if (fault !== "moved") values.delete("to"); return values; }
function shown() { const fault = $("#m-fault").value; for (const [id, is] of [["core", fault], ["other", fault === "swapped" || fault === "shorted"], ["to", fault === "moved"]]) $(`#m-${id}`).closest(".field").hidden = !is; }
let reads = 0;
async function read() {
  const mine = ++reads, focus = document.activeElement?.id, where = `${root}/meter?${fields()}`;
  const answer = await fetch(where, { headers: { "X-Part": "main", Accept: "text/html" } });
  const text = await answer.text();
  if (mine !== reads) return;
  const main = new DOMParser().parseFromString(text, "text/html").querySelector("main");
  if (!answer.ok || !main?.querySelector("#reading")) { say(main?.textContent.trim() || "That cannot be read.", { bad: true }); return; }
  history.replaceState(null, "", where);
  for (const [id, part] of [["#reading", main.querySelector("#reading")]]) $(id).replaceChildren(...part.childNodes);
  const old = [...document.querySelectorAll("#meterform ~ *:not(#reading)")], fresh = [...main.querySelectorAll("#meterform ~ *:not(#reading)")];
  old.forEach((one) => one.remove());
  $("#reading").after(...fresh);
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
}
document.addEventListener("change", (event) => { if (!event.target.closest("#meterform")) return; shown(); if (event.target.id === "m-premises") { location.href = `${root}/meter?premises=${encodeURIComponent(event.target.value)}`; return; } read(); });
document.addEventListener("submit", (event) => { if (event.target.id === "meterform") { event.preventDefault(); read(); } });
document.addEventListener("click", async (event) => {
  if (event.target.id === "turn") { const a = $("#m-a"), b = $("#m-b"); [a.value, b.value] = [b.value, a.value]; read(); }
  if (event.target.id === "move") {
    const told = await send(`${root}/meter/move`, Object.fromEntries(fields()));
    if (!told.ok) { refused(told); return; }
    say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
    $("#m-fault").value = ""; shown(); read();
  }
});
if (form()) shown();
