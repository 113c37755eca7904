// Files that are made on demand: the choices of the form go with every link; a pack says how far it is and can be given up.
import { $, element, say } from "./desk.js";
import { long } from "./long.js";

document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-with-form]");
  if (!link) return;
  const where = new URL(link.href), form = new FormData($("#paperform"));
  for (const [key, value] of form) if (value) where.searchParams.set(key, value); else where.searchParams.delete(key);
  link.href = where;
}, true);
document.addEventListener("click", async (event) => {
  const link = event.target.closest("[data-pack]");
  if (!link) return;
  event.preventDefault();
  if (link.getAttribute("aria-disabled")) return;
  link.setAttribute("aria-disabled", "true");
  const where = new URL(link.href);
  const made = await long($("#making"), "Reading the job …", async (mark, signal) => {
    where.searchParams.set("mark", mark);
    const answer = await fetch(where, { signal, headers: { Accept: "application/json" } });
    if (!answer.ok) return { says: (await answer.json().catch(() => ({}))).says || `The desk answered ${answer.status}.` };
    return { name: /filename="([^"]+)"/.exec(answer.headers.get("content-disposition") || "")?.[1] || "papers.zip", file: await answer.blob() };
  });
  link.removeAttribute("aria-disabled");
  if (!made) return;
  if (!made.file) { say(made.says, { bad: true }); return; }
  const address = URL.createObjectURL(made.file), save = element("a", { href: address, download: made.name });
  save.click();
  $("#making").replaceChildren(`${made.name} is made and in your downloads.`);
  setTimeout(() => URL.revokeObjectURL(address), 60000);
});
