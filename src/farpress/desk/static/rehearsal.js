// Rehearsal: a drawn fob, a clock that runs when it is told to, and the time line of everything that moves.
import { $, $$, element, say, send, root } from "./desk.js";
import { long } from "./long.js";
import { Stage, stands } from "./stage.js";

const groups = JSON.parse($("#stage").dataset.groups), NS = "http://www.w3.org/2000/svg";
const stage = new Stage($("#onplan"), JSON.parse($("#stage").dataset.plan));
let events = [], now = 0, powered = true, down = null, told = null;
const figure = (value) => String(Math.round(value * 100) / 100);
const story = () => events.map((one) => `${figure(one.at)} s: ${one.says}`).join("; ");

$("#group").replaceChildren(...groups.map((one) => element("option", {}, one.name)));
function drawFob() {
  const group = groups.find((one) => one.name === $("#group").value);
  if (!group) { $("#fob").textContent = "There is no group with a fob yet."; return; }
  $("#fob").replaceChildren(element("div", { class: "fob", role: "group", "aria-label": `Fob of ${group.name}` }, ...group.buttons.map((one) => {
    const button = element("button", { type: "button", class: "key", "aria-label": `Button ${one.number}: ${one.short || one.long}${one.short && one.long ? `, long: ${one.long}` : ""}` }, element("b", {}, one.number), element("span", {}, one.short || ""), one.long ? element("small", {}, `long: ${one.long}`) : null);
    const begin = () => { if (!down) { down = { key: one.number, since: performance.now(), at: now }; button.classList.add("pressed"); tick(); } };
    const end = () => { if (down?.key !== one.number) return; const held = (performance.now() - down.since) / 1000; button.classList.remove("pressed"); down = null; press(group.name, one, held < 0.6 ? 0.5 : Math.round(held * 10) / 10); };
    button.addEventListener("pointerdown", (event) => { event.preventDefault(); button.setPointerCapture(event.pointerId); begin(); });
    button.addEventListener("pointerup", end); button.addEventListener("pointercancel", end);
    button.addEventListener("keydown", (event) => { if ((event.key === " " || event.key === "Enter") && !event.repeat) { event.preventDefault(); begin(); } });
    button.addEventListener("keyup", (event) => { if (event.key === " " || event.key === "Enter") { event.preventDefault(); end(); } });
    button.addEventListener("blur", end);
    return button;
  })));
}
function tick() { if (!down) return; $("#clock").textContent = `${figure(now + (performance.now() - down.since) / 1000)} s`; requestAnimationFrame(tick); }
function press(who, one, held) {
  const isLong = one.long && (held >= 2 || !one.short);
  add(held <= 0.5 && !isLong ? `${who} press ${one.number}` : `${who} hold ${one.number}${isLong ? " long" : ""} for ${figure(held)} s`, held);
}
function add(says, lasts = 0) { events.push({ at: now, says }); now = Math.round((now + lasts) * 100) / 100; run(); }
$("#power").addEventListener("click", () => { powered = !powered; add(powered ? "power on" : "power off"); showPower(); });
const showPower = () => { $("#power").textContent = `Power: ${powered ? "on" : "off"}`; $("#power").setAttribute("aria-pressed", String(!powered)); };
$$("[data-run]").forEach((one) => one.addEventListener("click", () => { now += Number(one.dataset.run); if (events.length) draw(); clock(); }));
$$("[data-do]").forEach((one) => one.addEventListener("click", () => add(one.dataset.do)));
$("#clear").addEventListener("click", () => { events = []; now = 0; powered = true; told = null; showPower(); clock(); $("#timeline").replaceChildren(element("p", { class: "soft" }, "Press a button of the fob.")); $("#broken").replaceChildren(); $("#lines").replaceChildren(); $("#story").value = ""; });
$("#stepback").addEventListener("click", () => { const last = events.pop(); if (!last) return; now = last.at; powered = !events.some((one) => one.says === "power off") || events.findLast((one) => one.says.startsWith("power"))?.says === "power on"; showPower(); if (events.length) run(); else $("#clear").click(); });
$("#group").addEventListener("change", drawFob);
const clock = () => { $("#clock").textContent = `${figure(now)} s`; };

async function run(text = story()) {
  clock(); $("#story").value = text.replaceAll("; ", "\n"); const kept = $("#keepstory"); if (kept) kept.value = text;
  const answer = await send(`${root}/rehearsal/play`, { story: text });
  if (!answer.ok) { say(answer.says || "That cannot be played.", { bad: true }); return false; }
  told = answer; draw();
  return true;
}

const WIDE = { left: 168, right: 20, row: 30, top: 40, name: 23 };
// a name is a path: folded after a stroke, a space or a dash, nothing of it left out
function folded(text) {
  const lines = [""];
  for (const piece of text.match(/[^/ -]*(?:[/ -]+|$)/g)) {
    if (lines.at(-1) && (lines.at(-1) + piece).trimEnd().length > WIDE.name) lines.push("");
    lines[lines.length - 1] += piece;
  }
  return lines;
}
function draw() {
  if (!told) return;
  const box = $("#timeline"), width = Math.max(560, box.clientWidth - 30), end = Math.max(told.ends, now * 1.05, 5), tracks = told.tracks.filter((one) => one.spans.length || one.says !== "supply");
  const names = tracks.map((one) => folded(one.name)), heights = names.map((one) => Math.max(WIDE.row, 14 * one.length + 8)), tops = heights.map((_, index) => WIDE.top + heights.slice(0, index).reduce((sum, one) => sum + one, 0));
  const X = (t) => WIDE.left + (Math.min(t, end) / end) * (width - WIDE.left - WIDE.right), height = WIDE.top + heights.reduce((sum, one) => sum + one, 0) + 26;
  const make = (name, attributes, ...children) => { const made = document.createElementNS(NS, name); for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value); made.append(...children); return made; };
  const parts = [], step = [0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 3600].find((one) => end / one <= 10) || 7200;
  for (let t = 0; t <= end + 1e-9; t += step) parts.push(make("path", { class: "grid", d: `M${X(t)} ${WIDE.top - 8}V${height - 20}` }), make("text", { class: "time", x: X(t), y: height - 5, "text-anchor": "middle" }, t >= 120 ? `${figure(t / 60)} min` : `${figure(t)} s`));
  let edge = -Infinity;
  told.marks.forEach((mark, index) => { const x = X(mark.at); edge = Math.max(x, edge + 16); parts.push(make("path", { class: "mark", d: `M${x} 24V${height - 20}` }), make("text", { class: "what", x: edge, y: 16, "text-anchor": "middle" }, make("title", {}, mark.says), String(index + 1))); });
  tracks.forEach((track, index) => {
    const y = tops[index];
    parts.push(make("text", { class: "name" }, ...names[index].map((line, place) => make("tspan", { x: 0, y: y + 17 + 14 * place }, line))), make("path", { class: "rest", d: `M${WIDE.left} ${y + 20}H${width - WIDE.right}` }));
    for (const [from, to, state] of track.spans) { const a = X(from), b = X(to); parts.push(make("rect", { class: `span ${track.says === "supply" ? "off" : ""}`, x: a, y: y + 3, width: Math.max(2, b - a - 1), height: 18 }, make("title", {}, state))); if (b - a > 6.2 * state.length + 6) parts.push(make("text", { class: "state", x: a + 5, y: y + 16 }, state)); }
  });
  const x = X(now); parts.push(make("path", { class: "now", d: `M${x} ${WIDE.top - 14}V${height - 20}` }));
  const svg = make("svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": told.lines.join("; ") }, ...parts);
  const states = tracks.filter((one) => one.says !== "supply").map((one) => [one.name, stands(told, one, now)]).filter(([, state]) => state);
  box.replaceChildren(element("div", { class: "scrollx" }, svg), told.marks.length ? element("ol", { class: "small marks" }, ...told.marks.map((mark) => element("li", { class: mark.idle ? "nothing" : "" }, `${figure(mark.at)} s: ${mark.says}`, mark.idle ? element("strong", {}, " — nothing moves") : null))) : "", element("p", { role: "status" }, element("span", { class: "soft" }, `At ${figure(now)} s: `), states.length ? states.map(([name, state]) => `${name} ${state}`).join(", ") : "everything at rest", "."));
  stage.show(told, now);
  const broken = told.broken.map((one) => element("div", { class: "notice bad" }, element("p", {}, element("strong", {}, one.number ? `Rule ${one.number} is broken. ` : "What must never be has happened. "), one.says)));
  const asks = [...told.asks.map((text) => element("p", { class: "notice ask" }, `To ask: ${text}`)), ...told.taken.map((text) => element("p", { class: "small soft" }, `Taken: ${text}`))];
  $("#broken").replaceChildren(...broken, ...asks);
  $("#lines").replaceChildren(...told.lines.map((text) => element("li", {}, text)));
  $("#keepdrawing").href = `${root}/rehearsal/drawing?story=${encodeURIComponent($("#story").value.replaceAll("\n", "; "))}`;
}
async function playText(text) {
  const clean = text.replaceAll("\n", "; ");
  events = clean.split(";").map((part) => /^\s*([\d.]+)\s*s\s*:\s*(.+?)\s*$/.exec(part)).filter(Boolean).map((match) => ({ at: Number(match[1]), says: match[2] }));
  now = 0;
  if (await run(clean)) { const end = told.ends; now = end; clock(); draw(); $("#stage").scrollIntoView({ block: "start", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" }); animate(end); }
}
let playing = 0;
function animate(end) {
  if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
  const mine = ++playing, begun = performance.now(), lasts = Math.min(9000, 1500 + end * 120);
  const frame = (at) => { if (mine !== playing) return; now = Math.min(end, ((at - begun) / lasts) * end); now = Math.max(0, now); clock(); draw(); if (now < end) requestAnimationFrame(frame); };
  requestAnimationFrame(frame);
}
document.addEventListener("click", async (event) => {
  const play = event.target.closest("[data-lesson]"), hold = event.target.closest("[data-hold]");
  if (play) playText(play.dataset.lesson);
  if (!hold) return;
  hold.disabled = true;
  const answer = await send(`${root}/rehearsal/hold`, { name: hold.dataset.hold });
  hold.disabled = false;
  const line = $(".held", hold.closest("li"));
  if (!answer.ok) { say(answer.says, { bad: true }); return; }
  line.replaceChildren(element("strong", { class: answer.verdict }, `${answer.verdict}. `), `${answer.says} ${answer.because}`);
});
$("#playstory").addEventListener("click", () => playText($("#story").value));

// -- search --------------------------------------------------------------------------------------
async function search(which) {
  const row = $(`[data-rule="${which}"]`), button = $("[data-search]", row);
  const wish = which === "always" ? {} : { rule: Number(which) };
  button.disabled = true;
  const answer = await long($("#searching"), "Searching every press story …", async (mark, signal) => (await fetch(`${root}/rehearsal/search`, { method: "POST", signal, headers: { "Content-Type": "application/json", Accept: "application/json" }, body: JSON.stringify({ ...wish, mark }) })).json());
  button.disabled = false;
  if (!answer) return false;
  if (!answer.ok) { say(answer.says, { bad: true }); return false; }
  const bad = answer.results.filter((one) => one.verdict !== "holds"), shown = bad.length ? bad : answer.results.slice(0, 3);
  $(".results", row).replaceChildren(...shown.map((one) => element("div", { class: "result" }, element("p", {}, element("strong", { class: one.verdict }, `${one.verdict}. `), one.says, one.states ? element("span", { class: "soft small" }, ` ${one.states.toLocaleString("en-GB")} states looked at${one.finished ? "" : ", not to the end"}.`) : ""), one.because ? element("p", { class: "soft small" }, one.because) : null, one.story ? (one.story.play ? element("button", { type: "button", class: "main", onclick: () => playText(one.story.play) }, "Play this story") : element("p", {}, one.story.text)) : null)), answer.results.length > shown.length ? element("p", { class: "soft small" }, `${answer.results.length - shown.length} more parts of it hold.`) : "");
}
$$("[data-search]").forEach((one) => one.addEventListener("click", () => search(one.dataset.search)));
$("#searchall").addEventListener("click", async () => { for (const one of $$("[data-rule]")) if (await search(one.dataset.rule) === false) return; });
$("#showpower").addEventListener("click", async (event) => { event.target.disabled = true; const text = await (await fetch(`${root}/rehearsal/power`, { headers: { Accept: "text/html" } })).text(); $("#powertable").replaceChildren(...new DOMParser().parseFromString(text, "text/html").body.childNodes); });
new ResizeObserver(() => draw()).observe($("#timeline"));
document.addEventListener("desk:changed", () => { if (!events.length) location.reload(); });
drawFob(); showPower();
if ($("#story").value.trim()) playText($("#story").value);
