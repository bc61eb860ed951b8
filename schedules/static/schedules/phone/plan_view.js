// The roof as a line drawing: its fans as they lie, each a link; north is up.

import { el, svg } from "./dom.js";
import { fill } from "./gettext.js";
import { W } from "./words.js";

const MARK = 22; // the radius of a mark, as schedules/roof_plan.py keeps them apart

export function planView(site) {
  const { plan } = site;
  if (!plan) return null;
  const [x, y] = plan.hatch;
  const drawn = svg("svg", { class: "plan", viewBox: `0 0 ${plan.width} ${plan.height}`, role: "group", "aria-label": fill(W.planOf, { site: site.name }) },
    svg("path", { class: "axes", d: `M${x} 12V${plan.height}M0 ${y}H${plan.width}M${x - 4} 18l4-7 4 7` }),
    svg("rect", { class: "hatch", x: x - 9, y: y - 9, width: 18, height: 18, role: "img", "aria-label": W.hatch }, svg("title", {}, W.hatch)),
    plan.spots.map(spot));
  return el("figure", { class: "roof" }, drawn, el("figcaption", {}, told(plan)));
}

function spot({ fan, tag, label, place, x, y }) {
  return svg("a", { href: `#/fan/${fan}`, "aria-label": [tag, place].filter(Boolean).join(", ") },
    svg("circle", { cx: x, cy: y, r: MARK }), svg("text", { x, y, dy: "0.35em" }, label));
}

function told(plan) {
  return [
    W.northUp, plan.across_m ? fill(W.planWide, { metres: plan.across_m }) : "", plan.pushed ? W.drawnApart : "",
    plan.unplaced.length ? fill(W.notPlaced, { tags: plan.unplaced.join(", ") }) : "",
  ].filter(Boolean).join(" ");
}
