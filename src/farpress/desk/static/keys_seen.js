// What a receiver holds and which fobs it heard: looked at first, then entered in the record.
import { $, element, refresh, root, say, send } from "./desk.js";

const bad = (text) => element("div", { class: "notice bad", role: "alert" }, ...text.split("\n").map((line) => element("p", {}, line)));
async function enter(address, body) {
  const done = await send(address, body);
  if (done.says) say(done.says, { bad: !done.ok });
  if (done.ok) { $("#dialog").close(); await refresh(); }
}
const enterButton = (does) => element("p", { class: "row end" }, element("button", { type: "button", class: "main", onclick: (event) => { event.target.disabled = true; does(); } }, "Enter it in the record"));

async function look(form) {
  const place = $("#memoryresult"), told = await (await fetch(`${root}/keys/memory`, { method: "POST", body: new FormData(form), headers: { Accept: "application/json" } })).json().catch(() => ({ ok: false, says: "The list is too large, or the connection broke." }));
  if (!told.ok) { place.replaceChildren(bad(told.says)); return; }
  if (told.count) {
    place.replaceChildren(bad(`${told.count} problem${told.count === 1 ? "" : "s"}; nothing was written. Mend them in the list and look again.`),
      element("table", {}, element("thead", {}, element("tr", {}, ...["Row", "What is wrong"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, ...told.problems.map((one) => element("tr", {}, element("td", {}, one.row || ""), element("td", {}, one.says))))));
    return;
  }
  const count = told.matters.length;
  place.replaceChildren(element("p", { role: "status" }, `${told.receiver} holds ${told.records} record${told.records === 1 ? "" : "s"}. `, count ? `Nothing is written yet; ${count} thing${count === 1 ? "" : "s"} will have to be attended to:` : "All of them stand in the register, and all that the register has are there. Nothing is written yet."),
    count ? element("ul", {}, ...told.matters.map((text) => element("li", {}, text))) : "", enterButton(() => enter(`${root}/keys/memory/enter`, { list: told.list, receiver: told.receiver })));
}
async function lookHeard(form) {
  const body = { receiver: form.elements.receiver.value, fobs: form.elements.fobs.value }, told = await send(`${root}/keys/heard`, { ...body, look: true }), place = $("#heardresult");
  if (!told.ok) { place.replaceChildren(bad(told.says || "Not looked at.")); return; }
  place.replaceChildren(element("p", { role: "status" }, `Heard at ${told.receiver} just now: ${told.fobs.join(", ")}. Nothing is written yet.`), enterButton(() => enter(`${root}/keys/heard`, body)));
}
document.addEventListener("submit", async (event) => {
  if (event.target.id === "memoryform") { event.preventDefault(); await look(event.target); }
  if (event.target.id === "heardform") { event.preventDefault(); await lookHeard(event.target); }
});
document.addEventListener("input", (event) => { // what was looked at is not what stands there now
  if (event.target.closest("#memoryform")) $("#memoryresult").replaceChildren();
  if (event.target.closest("#heardform")) $("#heardresult").replaceChildren();
});
