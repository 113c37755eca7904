// The plan editor: draw with mouse, finger or keys; the reach of every press follows.
import { $, say } from "./desk.js";
import { legend } from "./reach.js";
import { svg, board, draw, load } from "./plan/state.js";
import "./plan/bar.js";
import "./plan/drawing.js";
import "./plan/panel.js";
import "./plan/maps.js";
import "./plan/keyboard.js";
import "./plan/importer.js";

for (const event of ["desk:changed", "desk:stepped"]) document.addEventListener(event, () => load().catch(() => {}));
document.addEventListener("desk:look", draw);
svg.addEventListener("focus", draw);
svg.addEventListener("blur", draw);
new ResizeObserver(draw).observe(board);
legend($("#legend"));
load({ fit: true }).catch((error) => say(error.message, { bad: true }));
