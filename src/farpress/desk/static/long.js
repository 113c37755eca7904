// Work that takes long: how far it is, and a way to give up. The desk ends the work when the connection closes.
import { element, root, send } from "./desk.js";

// Gives the answer of the desk, or null where it was given up or the connection broke.
export async function long(place, begins, ask) {
  const mark = [...crypto.getRandomValues(new Uint32Array(3))].join("-"), given = new AbortController();
  const words = element("span", {}, begins), news = new EventSource(`${root}/events`);
  let isUp = false;
  news.addEventListener("far", (event) => { const told = JSON.parse(event.data); if (told.mark === mark) words.textContent = told.says; });
  const stop = element("button", { type: "button", onclick: () => { isUp = true; given.abort(); } }, "Cancel");
  place.replaceChildren(words, " ", stop);
  try {
    const answer = await ask(mark, given.signal);
    place.replaceChildren();
    return answer;
  } catch {
    place.replaceChildren(isUp ? "Given up; nothing was changed." : "The connection broke; nothing was changed. Try again.");
    return null;
  } finally { news.close(); }
}

// A search of the desk; where `enough` is an address it may be told that the best found so far is enough.
export function searched(address, body, place, enough = "") {
  return long(place, "Reading the job …", async (mark, signal) => {
    if (enough) place.append(" ", element("button", { type: "button", onclick: async (event) => { event.target.disabled = true; await send(`${root}${enough}`, { mark }); } }, "Show the best so far"));
    const answer = await fetch(`${root}${address}`, { method: "POST", signal, headers: { "Content-Type": "application/json", Accept: "application/json" }, body: JSON.stringify({ ...body, mark }) });
    return answer.json().catch(() => ({ ok: false, says: `The desk answered ${answer.status}.` }));
  });
}
