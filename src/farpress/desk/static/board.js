// The wiring drawn: the end of a core is pulled to another terminal, or taken up and led there by keys.
import { $, $$, send, say, undo, root, refresh, refused, open, onRefresh } from "./desk.js";

let held = null; // the end that is being pulled or carried: { end, from: [x, y], by, moved }
let said = "", led = null; // what was said last and the end that was led last: both outlive a page that is made anew meanwhile
const board = () => $("#board"), says = (text) => { said = text; const box = $("#boardsays"); if (box) box.textContent = text; };
const point = (event) => { const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(board().getScreenCTM().inverse()); return [at.x, at.y]; };
const handle = (end) => { const circle = $("circle", end); return [Number(circle.getAttribute("cx")), Number(circle.getAttribute("cy"))]; };
const called = (end) => `Core ${end.dataset.core} of ${end.dataset.label}`;

function mark(terminal) { $$(".terminal.near", board()).forEach((one) => one.classList.remove("near")); terminal?.classList.add("near"); }
function letGo() { if (!held) return; held.end.classList.remove("held"); held = null; mark(null); const line = $("#pulled"); line.setAttribute("d", ""); line.setAttribute("hidden", ""); board().classList.remove("carrying"); }
async function lead(end, terminal) {
  const to = terminal.dataset.terminal, given = { premises: board().dataset.premises, label: end.dataset.label, core: end.dataset.core, end: end.dataset.end, to };
  letGo();
  if (to === given.end) { says(""); return; }
  says(`Leading core ${given.core} of ${given.label} to ${to} …`);
  const told = await send(`${root}/wiring/drawn/lead`, given);
  if (!told.ok) { says(""); refused(told); return; }
  say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
  await refresh();
  led = given;
  focusLed();
  says(`Core ${given.core} of ${given.label} ends at ${to} now.`);
}
function focusLed() {
  const end = led && $$(".end", board()).find((one) => one.dataset.label === led.label && one.dataset.core === led.core && one.dataset.end === led.to);
  if (end) { led = null; end.focus({ preventScroll: true }); }
}
onRefresh(() => { if (!board()) return; says(said); focusLed(); });
const may = () => board()?.dataset.may;
const openCore = (end) => open(`${root}/wiring/drawn/core?${board().dataset.place}&label=${encodeURIComponent(end.dataset.label)}&core=${encodeURIComponent(end.dataset.core)}`);
const openTerminal = (one) => open(`${root}/wiring/drawn/terminal?${board().dataset.place}&terminal=${encodeURIComponent(one.dataset.terminal)}`);

// -- pointer ----------------------------------------------------------------------------------------
document.addEventListener("pointerdown", (event) => {
  const end = event.target.closest("#board .end");
  if (!end || event.button || !may()) return;
  held = { end, from: handle(end), by: "pointer", moved: false, at: [event.clientX, event.clientY] };
});
document.addEventListener("pointermove", (event) => {
  if (held?.by !== "pointer") return;
  if (!held.moved && Math.hypot(event.clientX - held.at[0], event.clientY - held.at[1]) < 6) return;
  if (!held.moved) { held.moved = true; held.end.classList.add("held"); board().classList.add("carrying"); $("#pulled").removeAttribute("hidden"); says(`${called(held.end)}: pull it to a terminal, and let go.`); }
  const [x, y] = point(event), line = $("#pulled");
  line.setAttribute("d", `M${held.from[0]} ${held.from[1]}L${x} ${y}`);
  mark(document.elementsFromPoint(event.clientX, event.clientY).find((one) => one.closest?.(".terminal"))?.closest(".terminal"));
});
document.addEventListener("pointerup", (event) => {
  if (held?.by !== "pointer") return;
  const { end, moved } = held;
  if (!moved) { letGo(); return; }
  const terminal = document.elementsFromPoint(event.clientX, event.clientY).map((one) => one.closest?.(".terminal")).find(Boolean);
  addEventListener("click", (click) => { click.stopPropagation(); click.preventDefault(); }, { capture: true, once: true });
  if (terminal) lead(end, terminal); else { letGo(); says("It stays where it was: no terminal was there."); }
});
document.addEventListener("pointercancel", () => { if (held?.by === "pointer") letGo(); });
document.addEventListener("click", (event) => {
  const end = event.target.closest("#board .end"), terminal = event.target.closest("#board .terminal"), core = event.target.closest("#board .core");
  if (held?.by === "keys") { if (terminal) lead(held.end, terminal); return; }
  if (end) openCore(end); else if (terminal) openTerminal(terminal); else if (core) openCore(core);
});

// -- keys -------------------------------------------------------------------------------------------
function step(terminal, key) {
  const every = $$(".terminal", board()), index = every.indexOf(terminal), box = (one) => one.closest(".box");
  if (key === "ArrowDown") return every[(index + 1) % every.length];
  if (key === "ArrowUp") return every[(index - 1 + every.length) % every.length];
  const boxes = $$(".box", board()), place = boxes.indexOf(box(terminal)), next = boxes[(place + (key === "ArrowRight" ? 1 : boxes.length - 1)) % boxes.length];
  return $(".terminal", next);
}
document.addEventListener("keydown", (event) => {
  const part = event.target.closest("#board .end, #board .terminal, #board .fault");
  if (!part || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape" && held) { const end = held.end; letGo(); end.focus(); says("It stays where it was."); event.preventDefault(); return; }
  if (part.matches(".terminal") && event.key.startsWith("Arrow")) { event.preventDefault(); const next = step(part, event.key); next.focus(); if (held) mark(next); return; }
  if (event.key !== "Enter" && event.key !== " ") return;
  event.preventDefault();
  if (part.matches(".fault")) { part.dispatchEvent(new MouseEvent("click", { bubbles: true })); return; }
  if (part.matches(".terminal")) { if (held) lead(held.end, part); else openTerminal(part); return; }
  if (event.key === "Enter") { openCore(part); return; }
  if (!may()) return;
  held = { end: part, from: handle(part), by: "keys" };
  part.classList.add("held"); board().classList.add("carrying");
  const there = $$(".terminal", board()).find((one) => one.dataset.terminal === part.dataset.end);
  says(`${called(part)} taken up. Arrow keys to a terminal, Enter to lead it there, Escape to leave it.`);
  there?.focus(); mark(there);
});
document.addEventListener("change", (event) => { if (event.target.closest("#boardform")) event.target.form.submit(); });
document.addEventListener("pointerover", (event) => { const part = event.target.closest?.("#board .end, #board .core"); $$("#board .core.seen").forEach((one) => one.classList.remove("seen")); if (part) $$("#board .core").filter((one) => one.dataset.label === part.dataset.label && one.dataset.core === part.dataset.core).forEach((one) => one.classList.add("seen")); });
