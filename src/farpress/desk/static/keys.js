// Keys: choose many, do one thing with all; look at a list before it is taken over.
import { $, $$, element, onRefresh, refresh, root, say, send } from "./desk.js";

const picked = () => $$("#fobs .pick:checked").filter((one) => !one.closest("tr").hidden).map((one) => one.closest("tr").dataset.label);
function count() { const bar = $("#bulk"); if (!bar) return; const many = picked().length; bar.hidden = many === 0; $("#chosen").textContent = `${many} chosen:`; }
document.addEventListener("change", (event) => {
  if (event.target.id === "all") { for (const one of $$("#fobs .pick")) one.checked = event.target.checked && !one.closest("tr").hidden; count(); }
  else if (event.target.matches(".pick")) count();
  else if (event.target.id === "bulkdo") $("#bulkgroup").hidden = event.target.value !== "rights";
});
document.addEventListener("input", (event) => { if (event.target.matches("[data-filter], [data-facet]")) count(); });
document.addEventListener("click", async (event) => {
  if (event.target.id === "bulkgo") {
    const fobs = picked(), what = $("#bulkdo").value;
    if (!confirm(`${$("#bulkdo").selectedOptions[0].textContent}: ${fobs.length} fobs?`)) return;
    event.target.disabled = true;
    const told = await send(`${root}/keys/many`, { fobs, do: what, values: { group: $("#bulkgroup").value } });
    event.target.disabled = false;
    say(told.says, { bad: !told.ok || told.refused?.length > 0 });
    if (told.ok) await refresh();
  }
});
document.addEventListener("submit", async (event) => {
  if (event.target.id !== "listform") return;
  event.preventDefault();
  const told = await (await fetch(`${root}/keys/import`, { method: "POST", body: new FormData(event.target), headers: { Accept: "application/json" } })).json().catch(() => ({ ok: false, says: "The list is too large, or the connection broke." }));
  const place = $("#listresult");
  if (!told.ok) { place.replaceChildren(element("p", { class: "notice bad", role: "alert" }, told.says)); return; }
  const take = (words, more) => element("button", { type: "button", class: "main", onclick: async (click) => { click.target.disabled = true; const done = await send(`${root}/keys/take`, { list: told.list, name: event.target.elements.file.files[0]?.name, ...more }); say(done.says, { bad: !done.ok }); if (done.ok) { $("#dialog").close(); await refresh(); } } }, words);
  const classes = element("ul", {}, ...told.classes.map((text) => element("li", {}, text)));
  if (told.count) {
    const left = told.aside && told.aside < told.rows;
    place.replaceChildren(element("p", { class: "notice bad", role: "alert" }, `${told.count} problem${told.count === 1 ? "" : "s"} in ${told.rows} rows; nothing was written. Mend them in the list and choose it again${left ? ", or take the rows in order and mend the others" : ""}.`), classes,
      left ? element("p", { class: "row end" }, element("a", { href: `${root}/keys/aside?list=${encodeURIComponent(told.list)}`, download: "" }, `Rows to mend: ${told.aside} (CSV)`), take("Take the rows in order", { good: true })) : "",
      element("table", {}, element("thead", {}, element("tr", {}, ...["Row", "Column", "What is wrong"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, ...told.problems.map((one) => element("tr", {}, element("td", {}, one.row || ""), element("td", {}, one.column), element("td", {}, one.says))))));
    return;
  }
  place.replaceChildren(element("p", { role: "status" }, `${told.rows} rows make ${told.fobs} fobs, ${told.people} new people, ${told.events} entries. Nothing is written yet.`), classes, told.ignored.length ? element("p", { class: "notice ask" }, `Columns that mean nothing here: ${told.ignored.join(", ")}.`) : "", ...told.notes.map((note) => element("p", { class: "notice ask" }, note)),
    element("p", { class: "row end" }, take("Take it over", {})));
});
document.addEventListener("click", async (event) => {
  if (event.target.id !== "untake" || !confirm("Take the last list back? Its fobs leave the register.")) return;
  const done = await send(`${root}/keys/untake`, {});
  say(done.says, { bad: !done.ok });
  if (done.ok) { $("#dialog").close(); await refresh(); }
});
onRefresh(count);
