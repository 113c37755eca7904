// Forms that ask for what a click cannot say: names, heights, levels, cables, a picture's scale, a coax.
import { $, root, element, say, open, send, refused, undo } from "../desk.js";
import { state, panel, canChange, draw, inspect, requestMap, edit, load, at, id, level, premises } from "./state.js";
import { metres, round, distance, length, measure, insideLevel } from "./geometry.js";
import { use } from "./tools.js";

// A form that asks stays while others change something; it goes when it is answered or something else is taken up.
let asking = null;
export const isAsking = () => Boolean(asking?.isConnected);
export const answered = () => { asking = null; };
function ask(form, first) {
  asking = form;
  panel.replaceChildren(form);
  first.focus();
  first.select?.();
}

/** A field with its label. */
export function field(label, input) {
  input.id = `field-${Math.random().toString(36).slice(2, 8)}`;
  input.removeAttribute("aria-label");
  return element("div", { class: "field" }, element("label", { for: input.id }, label), input);
}
export const choice = (names, attributes = {}) => element("select", attributes, ...names.map((one) => element("option", {}, one)));
const leave = (label, does) => element("button", { type: "button", onclick: does }, label);
const end = (label, cancel = null) => element("p", { class: "row end" }, cancel, element("button", { class: "main" }, label));

/** A form of the panel; `sent` runs when it is sent. */
export function formed(title, parts, sent, attributes = { class: "paper" }) {
  const form = element("form", attributes, title ? element("h3", {}, title) : null, ...parts);
  form.addEventListener("submit", (event) => { event.preventDefault(); event.stopPropagation(); sent(); });
  return form;
}

const NEW = { place: ["place ", "New place", "", "hand height"], receiver: ["R", "New receiver", "1.8", ""], mount: ["spot ", "New place for mounting", "", "2 m up"] };
/** A new place, receiver or place for mounting at a spot. */
export function askName(kind, spot) {
  const [stem, title, high, hand] = NEW[kind], isPlace = kind === "place", names = new Set(state.data[`${kind}s`].map((one) => one.name));
  let number = names.size + 1;
  while (names.has(`${stem}${number}`)) number++;
  const name = element("input", { value: `${stem}${number}`, autocomplete: "off" });
  const height = element("input", { value: high, inputmode: "decimal", placeholder: hand });
  const pressed = choice(["in hand", "in pocket", "in car"]), part = choice(state.data.receiverParts);
  const parts = [field("Name", name), field("Height over the plan's zero, m", height), ...(kind === "mount" ? [] : [isPlace ? field("Pressed", pressed) : field("Part", part)]), end("Add", leave("Cancel", inspect))];
  ask(formed(title, parts, async () => {
    const label = name.value.trim(), where = [spot[0], spot[1], ...(height.value.trim() ? [measure(height.value)] : [])];
    if (where.some(Number.isNaN)) { say("The height is a number in metres, as 1.8", { bad: true }); return; }
    if (!label || names.has(label)) { say(label ? `There is a ${kind} called ${label} already; give it another name.` : `A ${kind} needs a name.`, { bad: true }); return; }
    const stands = level() && insideLevel(spot) ? { level: level() } : {};
    const entry = kind === "mount" ? { at: where, ...stands } : isPlace ? { at: where, ...stands, ...(pressed.value !== "in hand" ? { pressed: pressed.value } : {}) } : { part: part.value, at: where };
    const told = await edit([{ path: at(`${kind}s`, label), value: entry }], `${kind} ${label} added`);
    if (!told.ok) return;
    use("select");
    await load({ choose: () => ({ kind, id: `${kind}s/${label}/at` }) });
  }), name);
}

/** Another spot becomes the plan's 0, 0: numbers change, nothing moves. */
export function askOrigin(spot) {
  const [east, north] = ["East of the present origin, m", "North of the present origin, m"].map((label, axis) => [label, element("input", { value: round(spot[axis], 0.001), inputmode: "decimal" })]);
  ask(formed("Origin of the plan", [element("p", { class: "small" }, "All measures are taken from there afterwards. Nothing that is drawn moves."), field(...east), field(...north), end("Move the origin here", leave("Cancel", () => use("select")))], async () => {
    const [x, y] = [east, north].map(([, input]) => measure(input.value));
    if (Number.isNaN(x) || Number.isNaN(y)) { say("The origin is two numbers in metres, as 4.2 and 0", { bad: true }); return; }
    const told = await send(`${root}/plan/origin`, { premises: premises(), x, y });
    if (!told.ok) { refused(told); return; }
    say(told.says, told.version ? { action: { says: "Undo", does: undo } } : {});
    use("select");
    await load({ fit: true });
  }), east[1]);
}

/** The levels, and a new one on the topmost: its floor over the plan's zero, the clear height under the next slab. */
export function askLevel() {
  const { levels } = state.data, top = levels.reduce((best, one) => (!best || one.floor > best.floor ? one : best), null);
  const free = ["ground", "upper", "attic"].find((one) => !levels.some((each) => each.name === one));
  const name = element("input", { value: free || `level ${levels.length}`, autocomplete: "off" });
  const floor = element("input", { value: top ? round(top.floor + top.clear + 0.2, 0.01) : 0, inputmode: "decimal" });
  const clear = element("input", { value: top?.clear ?? 2.5, inputmode: "decimal" });
  const rows = levels.map((one) => element("li", { class: "row between" },
    element("span", {}, `${one.name}: floor ${metres(one.floor)}, clear ${metres(one.clear)}`),
    element("button", { type: "button", onclick: () => details(["levels", one.name]) }, "Change", element("span", { class: "hidden-text" }, ` level ${one.name}`))));
  const parts = [
    element("ul", { class: "plain-list" }, ...rows),
    element("h3", {}, "New level"),
    field("Name of the level", name), field("Its floor over the plan's zero, m", floor), field("Clear height, m", clear),
    end("Add the level", leave("Leave", () => use("select"))),
  ];
  ask(formed("Levels", parts, async () => {
    const [low, high] = [measure(floor.value), measure(clear.value)], label = name.value.trim();
    if (!label || Number.isNaN(low) || !(high > 0)) { say("A level has a name, a floor and a clear height in metres, as 2.8 and 2.5", { bad: true }); return; }
    if (levels.some((one) => one.name === label)) { say(`There is a level called ${label} already; give it another name.`, { bad: true }); return; }
    const told = await edit([{ path: at("levels", label), value: { floor: metres(low), clear: metres(high) } }], `level ${label} added`);
    if (!told.ok) return;
    use("select");
    await load();
    $("#level").value = label;
    draw();
    requestMap({ fine: true });
  }), name);
}

/** Which cable a drawn way belongs to. */
export function askCable(list) {
  const long = length(list), { data } = state;
  const cables = data.receivers.flatMap((box) => [
    ...box.outputs.map((number) => ({ label: `${box.name}, output ${number}`, key: ["receivers", box.name, "outputs", number, "cable"], has: box.cables.some((one) => id(one.key) === `outputs/${number}/cable`) })),
    ...box.cables.filter((one) => one.key[0] === "fed").map(() => ({ label: `${box.name}, its feed`, key: ["receivers", box.name, "fed", "cable"], has: true })),
  ]);
  const which = element("select", {}, ...cables.map((one, index) => element("option", { value: index }, one.label)));
  const extra = element("input", { value: "2", inputmode: "decimal" }), part = choice(data.cables);
  const parts = [field("It belongs to", which), field("Added for ups, downs and ends, m", extra), field("Kind of cable", part), end("Take it", leave("Cancel", inspect))];
  ask(formed(`Cable, ${metres(round(long, 0.1))} on the plan`, parts, async () => {
    const one = cables[Number(which.value)], added = measure(extra.value);
    if (!one) { say("There is no receiver whose cable this could be; draw one first.", { bad: true }); return; }
    if (!(added >= 0)) { say("What is added is a number in metres, as 2 or 0", { bad: true }); return; }
    const whole = `${Math.ceil((long + added) * 2) / 2} m`;
    const changes = one.has ? [{ path: at(...one.key, "length"), value: whole }, { path: at(...one.key, "along"), value: list }] : [{ path: at(...one.key), value: { part: part.value, length: whole, along: list } }];
    const told = await edit(changes, `cable of ${one.label} drawn, ${whole}`);
    if (!told.ok) return;
    use("select");
    await load();
  }), which);
}

/** How far two points of the picture under this level are apart. */
export function askScale(a, b) {
  const one = state.pictures.find((picture) => !picture.level || picture.level === level());
  if (!one) { say("There is no picture under this level.", { bad: true }); return; }
  const input = element("input", { inputmode: "decimal", placeholder: "as 4.20" });
  ask(formed("Scale of the picture", [field("These two points are how far apart, m", input), end("Set the scale")], async () => {
    const factor = measure(input.value) / distance(a, b);
    if (!(factor > 0) || !Number.isFinite(factor)) { say("Give the distance in metres, as 4.20", { bad: true }); return; }
    const corner = (axis) => round(a[axis] - (a[axis] - one.at[axis]) * factor, 0.001), path = (...keys) => at("underlays", one.index, ...keys);
    const told = await edit([{ path: path("width"), value: metres(one.width * factor) }, ...[0, 1].map((axis) => ({ path: path("at", axis), value: corner(axis) }))], "scale of the picture set by two points");
    if (!told.ok) return;
    use("select");
    await load({ fit: true });
  }), input);
}

/** An aerial away from its receiver needs a coax; which one and how long is for the person to say, the plan only measures. */
export function coaxForm(thing, save) {
  const box = state.data.receivers.find((one) => one.name === thing.of);
  const far = Math.hypot(...[0, 1, 2].map((axis) => (thing.at[axis] ?? 0) - (box.at[axis] ?? 0)));
  if (far <= 0.5 && !box.coax) return "";
  const kind = choice(state.data.coaxes, { disabled: !canChange });
  const long = element("input", { inputmode: "decimal", value: box.coax?.length ?? Math.ceil(far + 1), disabled: !canChange });
  kind.value = box.coax?.part || state.data.coaxes[0];
  const parts = [
    box.coax ? null : element("p", { class: "notice ask" }, `${metres(round(far, 0.1))} from the receiver: which coax leads there?`),
    element("div", { class: "fields" }, field("Coax", kind), field("Its length, m", long)),
    canChange ? element("button", { class: box.coax ? "" : "main" }, "Set the coax") : null,
  ];
  return formed("", parts, () => {
    const value = measure(long.value), path = (...keys) => at("receivers", box.name, "antenna", "coax", ...keys);
    if (!(value > 0)) { say("The length is a number in metres, as 9", { bad: true }); return; }
    const changes = box.coax ? [{ path: path("part"), value: kind.value }, { path: path("length"), value: metres(value) }] : [{ path: path(), value: { part: kind.value, length: metres(value) } }];
    save(changes, `coax of ${box.name}`);
  }, {});
}

/** Everything an entry of the job file holds, in a dialogue. */
export const details = (key) => open(`${root}/entry?path=${encodeURIComponent(JSON.stringify(at(...key)))}`);
