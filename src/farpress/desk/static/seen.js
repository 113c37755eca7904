// Photos and notes: each file goes by itself, so that one that is refused stops no other.
import { $, say, root, refresh } from "./desk.js";

document.addEventListener("submit", async (event) => {
  const form = event.target.closest("#bring");
  if (!form) return;
  event.preventDefault();
  const button = $("button[type=submit]", form), box = $(".faults", form), files = [...$("#s-file").files], wrong = [];
  button.disabled = true;
  let kept = 0;
  for (const [number, file] of files.entries()) {
    if (files.length > 1) say(`${number + 1} of ${files.length} …`);
    const body = new FormData();
    body.append("file", file); body.append("shows", $("#s-shows").value); body.append("says", $("#s-says").value);
    const answer = await fetch(`${root}/seen/bring`, { method: "POST", body, headers: { Accept: "application/json" } }).catch(() => null);
    const told = answer ? await answer.json().catch(() => ({ ok: false, says: answer.status === 413 ? "It is too large." : `The desk answered ${answer.status}.` })) : { ok: false, says: "No connection to the desk: not kept." };
    if (told.ok) kept += 1; else wrong.push(`${file.name}: ${told.says}`);
  }
  button.disabled = false;
  box.hidden = !wrong.length; box.textContent = wrong.join(" ");
  if (kept) { if (!wrong.length) form.reset(); say(kept === 1 ? "Kept." : `${kept} are kept.`); await refresh(); }
});
