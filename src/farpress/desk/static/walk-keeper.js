// Keeps the page of the walk, and what it is made of, for a phone that loads it again without a connection.
// The desk is always asked first; what is kept is shown only where it does not answer. Nothing else passes here.
const PARTS = ["/static/desk.css", "/static/early.js", "/static/desk.js", "/static/queue.js", "/static/walk.js", "/static/mark.svg", "/face/regular", "/face/semibold", "/face/bold"];
const PATIENCE_MS = 4000;
const page = () => self.registration.scope;

async function keep() {
  const kept = await caches.open("walk");
  const answer = await fetch(page(), { credentials: "same-origin", headers: { Accept: "text/html" } });
  if (answer.redirected || answer.status === 401) { await kept.delete(page()); return; } // who is not paired keeps nothing
  if (!answer.ok) return;
  await kept.put(page(), answer);
  await kept.addAll(PARTS);
}
self.addEventListener("install", (event) => { self.skipWaiting(); event.waitUntil(keep()); });
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => { if (event.data === "keep") event.waitUntil(keep().catch(() => {})); });
self.addEventListener("fetch", (event) => {
  const where = new URL(event.request.url);
  if (event.request.method !== "GET" || where.origin !== self.location.origin) return;
  const name = event.request.mode === "navigate" ? page() : PARTS.includes(where.pathname) ? where.pathname : null;
  if (!name) return;
  event.respondWith((async () => {
    const kept = () => caches.open("walk").then((found) => found.match(name));
    const late = new Promise((done) => setTimeout(done, PATIENCE_MS)).then(kept);
    const asked = fetch(event.request);
    asked.catch(() => {});
    try { return (await Promise.race([asked, late])) || (await asked); } catch { return (await kept()) || Response.error(); }
  })());
});
