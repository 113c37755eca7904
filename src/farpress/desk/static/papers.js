// Papers: who they are for is a page of its own; the rest of the form goes with the links.
import { $ } from "./desk.js";
import "./pack.js";

$("#paperform select[name=for]").addEventListener("change", (event) => { location.search = event.target.value ? `?for=${event.target.value}` : ""; });
