// Papers: the choices of the form go with every link; a long pack says how far it is.
import { $, root } from "./desk.js";

document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-with-form]");
  if (!link) return;
  const where = new URL(link.href), form = new FormData($("#paperform"));
  for (const [key, value] of form) if (value) where.searchParams.set(key, value); else where.searchParams.delete(key);
  link.href = where;
}, true);
$("#paperform select[name=for]").addEventListener("change", (event) => { location.search = event.target.value ? `?for=${event.target.value}` : ""; });
const source = new EventSource(`${root}/events`);
source.addEventListener("making", (event) => { const news = JSON.parse(event.data); $("#making").textContent = news.done >= news.of ? "" : `${news.done} of ${news.of}: ${news.says}`; });
addEventListener("pagehide", () => source.close());
