// Answers of the proving walk wait on the phone until the desk has them; any page of the desk sends them.
// The list lies in the browser's own store, read and written anew at each step: several tabs share it.
import { $, element, onRefresh, root, say } from "./desk.js";

const BEGINS = "walk /j/", BATCH = 200, EVERY_MS = 4000;
const spare = {}; // where the browser keeps nothing
let keeps = true, sending = false;
const listeners = [];
export const onQueue = (does) => listeners.push(does);
const changed = (news) => listeners.forEach((does) => does(news));

export function waiting(job = root) {
  if (!keeps) return spare[job] || [];
  try { const found = JSON.parse(localStorage.getItem(`walk ${job}`) || "[]"); return Array.isArray(found) ? found : []; } catch { return spare[job] || []; }
}
function write(job, entries) {
  try {
    if (entries.length) localStorage.setItem(`walk ${job}`, JSON.stringify(entries)); else localStorage.removeItem(`walk ${job}`);
  } catch {
    if (keeps) say("This phone keeps nothing (private window?): stay connected.", { bad: true });
    keeps = false;
    spare[job] = entries;
  }
}
export function add(entry) { write(root, [...waiting(), entry]); changed({}); send(); }
export function takeBack(id) { write(root, waiting().filter((one) => one.id !== id)); changed({}); }
function jobs() {
  try { return Object.keys(localStorage).filter((key) => key.startsWith(BEGINS)).map((key) => key.slice(5)); } catch { return Object.keys(spare); }
}

export async function send() {
  if (sending) return;
  sending = true;
  let again = false;
  try { for (const job of keeps ? jobs() : Object.keys(spare)) again = (await sendOf(job)) || again; } finally { sending = false; }
  if (again) setTimeout(send, 400);
}
async function sendOf(job) {
  const batch = waiting(job).slice(0, BATCH);
  if (!batch.length) return false;
  let reply, news;
  try {
    reply = await fetch(`${job}/proving/enter`, { method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" }, body: JSON.stringify({ entries: batch }) });
    news = await reply.json();
  } catch { if (!lost) { lost = true; changed({}); } return false; } // no connection: they stay where they are
  lost = false;
  if (!reply.ok) {
    tell(reply.status === 401 ? "This phone is not paired any more. Your answers are kept here: load the page again and give the code." : news.says ? `Answers of the walk are kept here: ${news.says}` : `The desk answered ${reply.status}; your answers are kept here.`);
    changed({});
    return false;
  }
  for (const why of Object.values(news.refused)) say(`One answer was refused: ${why}`, { bad: true });
  const gone = new Set([...news.taken, ...Object.keys(news.refused)]);
  write(job, waiting(job).filter((one) => !gone.has(one.id)));
  changed({ job, sent: news.taken.length, tests: news.tests });
  return gone.size > 0 && waiting(job).length > 0;
}
let told = "", lost = false;
const tell = (text) => { if (text !== told) say(text, { bad: true }); told = text; };
export const isLost = () => lost || !navigator.onLine;

setInterval(() => { if (jobs().length || Object.keys(spare).length) send(); }, EVERY_MS);
addEventListener("online", send);
addEventListener("storage", (event) => { if (event.key?.startsWith(BEGINS)) changed({}); });

// -- on every other page: what waits, and the way back to the walk -------------------------------------------
if (!$("#walk") && location.pathname !== "/pair") {
  const sent = {};
  const draw = () => {
    const lines = [...new Set([...jobs(), ...Object.keys(sent)])].flatMap((job) => {
      const count = waiting(job).length, done = sent[job] || 0, answers = (number) => `${number} answer${number === 1 ? "" : "s"}`;
      const words = count ? `${answers(count)} of the walk ${count === 1 ? "is" : "are"} kept on this phone, not sent yet.` : done ? `${answers(done)} of the walk ${done === 1 ? "was" : "were"} kept on this phone; the desk has ${done === 1 ? "it" : "them"} now.` : "";
      return words ? [element("p", {}, `${words} `, element("a", { href: `${job}/proving/walk` }, "Back to the walk"))] : [];
    });
    $("#waiting")?.remove();
    if (lines.length) $("main")?.prepend(element("div", { id: "waiting", class: "notice ask", role: "status" }, ...lines));
  };
  onQueue(({ job, sent: count }) => { if (job && count) sent[job] = (sent[job] || 0) + count; draw(); });
  onRefresh(draw);
  draw();
}
if (location.pathname === "/pair") globalThis.caches?.delete("walk"); // who left keeps no page of the job
else send();
