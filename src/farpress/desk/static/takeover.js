// An installation taken over: the tables looked at together, then written together.
import { $, element, root, say } from "./desk.js";

const list = (head, lines, kind) => [element("h2", {}, `${head}: ${lines.length || "nothing"}`), element("ul", kind ? { class: kind } : {}, ...lines.map((line) => element("li", {}, line)))];
async function take(form, write) {
  const body = new FormData(form);
  if (write) body.set("write", "yes");
  const answer = await fetch(`${root}/takeover/take`, { method: "POST", body, headers: { Accept: "application/json" } });
  return answer.json().catch(() => ({ ok: false, says: "The tables are too large, or the connection broke." }));
}
function show(form, told) {
  const place = $("#takeoverresult");
  if (!told.ok) { place.replaceChildren(...told.says.split("\n").map((line) => element("p", { class: "notice bad", role: "alert" }, line))); return; }
  const button = element("button", { type: "button", class: "main", onclick: async (click) => { click.target.disabled = true; const done = await take(form, true); show(form, done); say(done.ok ? "Taken over." : done.says, { bad: !done.ok }); } }, "Take it over");
  place.replaceChildren(
    element("p", { role: "status" }, told.written ? "Taken over." : "Nothing is written yet."),
    element("ul", {}, ...told.taken.map((line) => element("li", {}, line))),
    ...(told.aside.length ? list("Rows set aside", told.aside.map((one) => `Row ${one.row}: ${one.says}`)) : []),
    ...list("Stop", told.stop), ...list("Mend", told.mend), ...list("Ask", told.ask),
    ...told.causes.flatMap((cause) => list(`Why presses fail ${cause.where}`, [...cause.why, `Next: ${cause.next}`])),
    told.written ? "" : element("p", { class: "row end" }, button),
  );
}
document.addEventListener("submit", async (event) => {
  if (event.target.id !== "takeoverform") return;
  event.preventDefault();
  show(event.target, await take(event.target, false));
});
