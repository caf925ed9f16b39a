// Syringes at one scale, each with a button of its group. The drawing shows lengths and bores as they are.
function render({ model, el, say: heard }) {
  const root = frame(el, "Syringes to choose from");
  const group = put(root, "fieldset");
  put(group, "legend", {}, "Choose a syringe. All are drawn at the same scale.");
  const name = `drawer-${Math.random().toString(36).slice(2)}`;
  const say = speaker(root, heard);
  const inputs = model.get("syringes").map((one, place) => {
    const label = put(group, "label", { className: "pick" });
    label.style.display = "flex";
    label.style.flexWrap = "wrap";
    const input = put(label, "input", { type: "radio", name });
    put(label, "span", {}, one.label).style.fontWeight = "600";
    put(label, "span", { className: "soft" }, one.says);
    const svg = draw(label, "svg", { viewBox: "0 -15 112 32", "aria-hidden": "true" });
    svg.style.flex = "1 0 100%";
    svg.style.maxWidth = "640px";
    sketch(svg, one);
    input.addEventListener("change", () => {
      model.set("chosen", place);
      model.set("said_by_hand", one.label);
      model.save_changes();
      say(`${one.label} chosen.`);
    });
    return input;
  });
  const show = () => inputs.forEach((input, place) => { input.checked = place === model.get("chosen"); });
  model.on("change:chosen", show);
  show();
  return () => model.off("change:chosen", show);
}

// One millimeter of the syringe is one unit of the drawing.
function sketch(svg, one) {
  const start = 18, low = -one.bore / 2, step = one.length / one.end;
  const look = { fill: "var(--ground)", stroke: "var(--line)", "stroke-width": 0.4 };
  draw(svg, "line", { x1: 2, x2: 12, y1: 0, y2: 0, stroke: "var(--line)", "stroke-width": 0.6 });
  draw(svg, "rect", { x: 12, y: -1.6, width: 6, height: 3.2, ...look });
  draw(svg, "rect", { x: start, y: low, width: one.length + 8, height: one.bore, ...look });
  draw(svg, "rect", { x: start, y: low + 0.4, width: 4, height: one.bore - 0.8, fill: "var(--rubber)" });
  draw(svg, "rect", { x: start + 4, y: -1.2, width: one.length + 14, height: 2.4, ...look });
  draw(svg, "rect", { x: start + one.length + 8, y: low - 3, width: 1.4, height: one.bore + 6, ...look });
  draw(svg, "rect", { x: start + one.length + 18, y: -4.5, width: 1.4, height: 9, ...look });
  const named = new Map(one.numbers);
  for (let mark = 0; mark <= one.end; mark += 1) {
    const x = start + mark * step;
    draw(svg, "line", { x1: x, x2: x, y1: low - 0.3, y2: low - (named.has(mark) ? 2.4 : 1.4), stroke: "var(--ink)", "stroke-width": 0.22 });
    // Numbers that would run into each other are left to the words beside the label.
    const close = one.length / (one.numbers.length - 1) < 8 && [...named.keys()].indexOf(mark) % 2 === 1;
    if (named.has(mark) && !close) {
      const text = draw(svg, "text", { x, y: low - 3.4, "text-anchor": "middle" }, named.get(mark));
      text.style.fontSize = "4px";
    }
  }
}
export default { render };
