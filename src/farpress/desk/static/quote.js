// Quote: a list of the firm is looked at, its faults or its changes are shown, then it is kept.
import { $, element, refresh, root, say, send } from "./desk.js";
import "./pack.js";

const table = (heads, rows) => element("table", {}, element("thead", {}, element("tr", {}, ...heads.map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, ...rows.map((cells) => element("tr", {}, ...cells.map((text) => element("td", {}, text))))));

document.addEventListener("submit", async (event) => {
  if (event.target.id !== "firmform") return;
  event.preventDefault();
  const told = await (await fetch(`${root}/quote/list`, { method: "POST", body: new FormData(event.target), headers: { Accept: "application/json" } })).json().catch(() => ({ ok: false, says: "The list is too large, or the connection broke." }));
  const place = $("#firmresult");
  if (!told.ok) { place.replaceChildren(element("p", { class: "notice bad", role: "alert" }, told.says)); return; }
  if (told.count) {
    place.replaceChildren(element("p", { class: "notice bad", role: "alert" }, `${told.count} fault${told.count === 1 ? "" : "s"}; nothing of it was taken. Mend them in the list and choose it again.`),
      table(["Row", "Column", "What is wrong"], told.problems.map((one) => [one.row || "", one.column, one.says])));
    return;
  }
  const keep = (words, more) => element("button", { type: "button", class: "main", onclick: async (click) => { click.target.disabled = true; const done = await send(`${root}/quote/keep`, { list: told.list, ...more }); say(done.says, { bad: !done.ok }); if (done.ok) { $("#dialog").close(); await refresh(); } } }, words);
  place.replaceChildren(element("p", { role: "status" }, `${told.says} ${told.changed ? `${told.changed} of its entries would change what is kept.` : "Nothing that is kept would change."} Nothing is kept yet.`),
    told.ignored.length ? element("p", { class: "notice ask" }, `Columns that mean nothing here: ${told.ignored.join(", ")}.`) : "",
    told.changes.length ? table(["Entry", "Kept now", "Then"], told.changes.map((one) => [one.name, one.was || "not there", one.becomes || "not there"])) : "",
    element("p", { class: "row end" }, keep("Keep it", {})));
});
