// Two bags on a pole, with the clamp, the check valve and what flows. Each step offers what one may do.
function render({ model, el }) {
  const root = frame(el, "Hanging the secondary bag");
  put(root, "p", {}, model.get("about"));
  const wide = put(root, "div", { className: "row" });
  wide.style.alignItems = "flex-start";
  const picture = put(wide, "div");
  picture.style.flex = "0 1 340px";
  const side = put(wide, "div");
  side.style.flex = "1 1 260px";
  const svg = draw(picture, "svg", { viewBox: "0 0 340 470", width: 340, height: 470, "aria-hidden": "true" });
  svg.style.height = "auto";
  const stands = put(side, "p", { className: "soft" });
  const asks = put(side, "p");
  asks.style.fontWeight = "600";
  asks.tabIndex = -1;
  const choices = put(side, "div");
  choices.style.display = "grid";
  choices.style.gap = "8px";
  const told = put(side, "p", { role: "status" });
  const row = put(side, "div", { className: "row" });

  let shows = { bag: "none", clamp: "closed", tubing: "air", flow: "primary" };
  function take(option) {
    shows = option.shows;
    told.textContent = option.says;
    told.className = option.right ? "" : "wrong";
    sketch(svg, shows);
    stands.textContent = inWords(shows);
    if (!option.right) {
      model.set("slips", model.get("slips") + 1);
      model.save_changes();
      return;
    }
    for (const button of choices.children) button.disabled = true;
    row.replaceChildren();
    const last = model.get("step") === model.get("steps").length - 1;
    const next = press(row, last ? "Start again" : "Next step", () => {
      model.set("step", last ? 0 : model.get("step") + 1);
      model.save_changes();
      if (last) shows = { bag: "none", clamp: "closed", tubing: "air", flow: "primary" };
      show();
      asks.focus();
    });
    next.focus();
  }
  function show() {
    const steps = model.get("steps"), step = steps[model.get("step")];
    sketch(svg, shows);
    stands.textContent = inWords(shows);
    asks.textContent = `Step ${model.get("step") + 1} of ${steps.length}. ${step.asks}`;
    choices.replaceChildren();
    for (const option of step.options) press(choices, option.does, () => take(option)).style.textAlign = "left";
    told.textContent = "";
    row.replaceChildren();
  }
  const other = () => show();
  model.on("change:step", other);
  show();
  return () => model.off("change:step", other);
}

const BAG_WORDS = { none: "not there yet", table: "spiked, not hung", low: "held below the primary bag", level: "as high as the primary bag", high: "above the primary bag" };
const TUBING_WORDS = { air: "air", primary: "primary fluid", drug: "drug" };
const FLOW_WORDS = { primary: "primary fluid flows to the pump", up: "primary fluid rises up the secondary tubing into its bag", down: "the secondary bag flows to the pump, the primary waits", both: "both bags flow to the pump", out: "drug runs out of the open end of the secondary tubing" };

function inWords({ bag, clamp, tubing, flow }) {
  const second = bag === "none" ? "" : `Secondary bag: ${BAG_WORDS[bag]}; clamp ${clamp}; tubing full of ${TUBING_WORDS[tubing]}. `;
  return `The diagram shows: ${second}Now ${FLOW_WORDS[flow]}.`;
}

function sketch(svg, { bag, clamp, tubing, flow }) {
  svg.replaceChildren();
  const line = "var(--line)", drug = "var(--wrong)", fluid = "var(--strong)";
  const colors = { air: "var(--ground)", primary: fluid, drug };
  const pipe = (points, inside) => {
    draw(svg, "polyline", { points, fill: "none", stroke: line, "stroke-width": 9, "stroke-linejoin": "round" });
    draw(svg, "polyline", { points, fill: "none", stroke: inside, "stroke-width": 5, "stroke-linejoin": "round" });
  };
  const note = (x, y, words, anchor = "start") => draw(svg, "text", { x, y, "text-anchor": anchor, "dominant-baseline": "central" }, words);
  draw(svg, "line", { x1: 150, x2: 150, y1: 8, y2: 430, stroke: line, "stroke-width": 4 });
  draw(svg, "line", { x1: 40, x2: 270, y1: 12, y2: 12, stroke: line, "stroke-width": 4 });

  // The primary bag hangs on its longer hanger once the secondary hangs above it.
  const top = bag === "high" ? 92 : 44;
  draw(svg, "line", { x1: 80, x2: 80, y1: 12, y2: top, stroke: line, "stroke-width": 2 });
  pipe(`80,${top + 90} 80,330 80,448`, flow === "down" ? drug : fluid);
  pipe(`80,${top + 90} 80,306`, fluid);
  container(svg, 80, top, fluid, 0.6);
  note(80, top + 22, "primary", "middle");
  valve(svg, 80, 268);
  note(68, 250, "check", "end");
  note(68, 268, "valve", "end");
  draw(svg, "circle", { cx: 80, cy: 306, r: 8, fill: "var(--glass)", stroke: line, "stroke-width": 2 });
  note(66, 306, "port", "end");
  draw(svg, "rect", { x: 44, y: 368, width: 72, height: 46, rx: 5, fill: "var(--glass)", stroke: line, "stroke-width": 2 });
  note(80, 391, "pump", "middle");
  note(92, 448, "to the patient");

  if (bag !== "none") {
    const place = { table: 230, low: 214, level: 44, high: 28 }[bag];
    const x = 240;
    if (bag === "level" || bag === "high") draw(svg, "line", { x1: x, x2: x, y1: 12, y2: place, stroke: line, "stroke-width": 2 });
    const joined = bag !== "table";
    const low = place + 90;
    const path = joined
      ? `${x},${low} ${x},${Math.max(low + 12, 318)} 170,${Math.max(low + 12, 318)} 170,306 88,306`
      : `${x},${low} ${x},${low + 18} 312,${low + 18} 312,${low + 96}`;
    pipe(path, colors[tubing]);
    container(svg, x, place, drug, 0.6);
    note(x, place + 22, "secondary", "middle");
    const cy = joined ? Math.max(low + 12, 318) : low + 18;
    clampSketch(svg, joined ? 205 : 276, cy, clamp);
    note(joined ? 205 : 276, cy + 24, `clamp ${clamp}`, "middle");
    if (flow === "out") arrow(svg, 312, low + 100, 0, 1, drug, 24);
    if (flow === "up") arrow(svg, 104, 290, 1, 0, fluid, 36);
    if (flow === "down" || flow === "both") arrow(svg, 142, 290, -1, 0, drug, 30);
  }
  if (flow !== "up" && flow !== "down") arrow(svg, 96, 330, 0, 1, fluid, 26);
  if (flow === "down") arrow(svg, 96, 330, 0, 1, drug, 26);
  if (flow === "up") arrow(svg, 96, 278, 0, 1, fluid, 22);
}

function container(svg, x, top, color, share) {
  draw(svg, "rect", { x: x - 38, y: top, width: 76, height: 74, rx: 12, fill: "var(--ground)", stroke: "var(--line)", "stroke-width": 2 });
  draw(svg, "line", { x1: x - 36, x2: x + 36, y1: top + 74 * (1 - share) + 8, y2: top + 74 * (1 - share) + 8, stroke: color, "stroke-width": 3 });
  draw(svg, "line", { x1: x - 24, x2: x + 24, y1: top + 58, y2: top + 58, stroke: color, "stroke-width": 6 });
  draw(svg, "rect", { x: x - 8, y: top + 74, width: 16, height: 22, rx: 3, fill: "var(--glass)", stroke: "var(--line)", "stroke-width": 1.6 });
}

function valve(svg, x, y) {
  draw(svg, "path", { d: `M ${x - 9} ${y - 9} H ${x + 9} L ${x} ${y + 7} Z`, fill: "var(--ground)", stroke: "var(--line)", "stroke-width": 2 });
  draw(svg, "line", { x1: x - 9, x2: x + 9, y1: y + 9, y2: y + 9, stroke: "var(--line)", "stroke-width": 2 });
}

function clampSketch(svg, x, y, state) {
  draw(svg, "rect", { x: x - 16, y: y - 11, width: 32, height: 22, rx: 3, fill: "var(--glass)", stroke: "var(--line)", "stroke-width": 1.8 });
  if (state === "closed") draw(svg, "path", { d: `M ${x - 7} ${y - 7} L ${x + 7} ${y + 7} M ${x + 7} ${y - 7} L ${x - 7} ${y + 7}`, stroke: "var(--wrong)", "stroke-width": 3 });
  else draw(svg, "circle", { cx: x, cy: y, r: 6, fill: "none", stroke: "var(--strong)", "stroke-width": 3 });
}

function arrow(svg, x, y, right, down, color, long) {
  const tip = [x + right * long, y + down * long];
  const side = ([a, b]) => `${tip[0] - right * 9 + a * 6},${tip[1] - down * 9 + b * 6}`;
  draw(svg, "line", { x1: x, y1: y, x2: tip[0] - right * 7, y2: tip[1] - down * 7, stroke: color, "stroke-width": 4 });
  draw(svg, "polygon", { points: `${tip.join(",")} ${side([down, right])} ${side([-down, -right])}`, fill: color });
}
export default { render };
