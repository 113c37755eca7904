// Work that takes long: how far it is, and a way to give up. The desk ends the work when the connection closes.
import { element, root } from "./desk.js";

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
