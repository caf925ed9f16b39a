// Two runs over time, straight between their corners. The words beside the drawing say all that it shows.
function render({ model, el, say }) {
  const root = frame(el, "What your number would do");
  put(root, "p", say ? {} : { role: "status" }, model.get("words"));
  say?.(`What your number would do. ${model.get("words")}`);
  const place = put(root, "div");
  function rebuild(width) {
    place.replaceChildren();
    const wide = Math.min(width, 620), high = 230, left = 52, right = 74, top = 24, low = 184;
    const svg = draw(place, "svg", { viewBox: `0 0 ${wide} ${high}`, width: wide, height: high, "aria-hidden": "true" });
    const until = model.get("until"), most = model.get("most");
    const x = (minute) => left + (minute / until) * (wide - left - right);
    const y = (ml) => low - (ml / most) * (low - top);
    draw(svg, "text", { x: 0, y: 12 }, "Infused (mL)");
    for (const share of [0, 0.5, 1]) {
      draw(svg, "line", { x1: left, x2: wide - right, y1: y(most * share), y2: y(most * share), stroke: "var(--line)", "stroke-width": share ? 0.4 : 1.4 });
      draw(svg, "text", { x: left - 8, y: y(most * share), "text-anchor": "end", "dominant-baseline": "central" }, (most * share).toLocaleString("en-US", { maximumFractionDigits: 1 }));
    }
    const long = until > 120;
    const unit = long ? 60 : 1;
    const step = [1, 2, 5, 10, 20, 30, 60, 120].find((one) => until / unit / one <= (wide < 420 ? 5 : 9)) ?? 240;
    for (let k = 0; k * step * unit <= until; k += 1) {
      const at = x(k * step * unit);
      draw(svg, "line", { x1: at, x2: at, y1: low, y2: low + 5, stroke: "var(--line)" });
      draw(svg, "text", { x: at, y: low + 20, "text-anchor": "middle" }, String(k * step));
    }
    draw(svg, "text", { x: left, y: high - 4 }, long ? "Time (h)" : "Time (min)");
    const ends = [["ordered", "var(--strong)", "7 4"], ["yours", "var(--wrong)", ""]].map(([name, color, dashes]) => {
      const points = model.get(name);
      draw(svg, "polyline", { points: points.map(([minute, ml]) => `${x(minute)},${y(ml)}`).join(" "),
        fill: "none", stroke: color, "stroke-width": 3, "stroke-dasharray": dashes });
      return [name, color, y(points.at(-1)[1])];
    });
    // Both names stay readable where the lines end at one height.
    if (Math.abs(ends[0][2] - ends[1][2]) < 18) ends[1][2] = ends[0][2] + 18;
    for (const [name, color, at] of ends) {
      const text = draw(svg, "text", { x: wide - right + 8, y: at, "dominant-baseline": "central" }, name);
      text.style.fill = color;
    }
  }
  return onWidth(root, rebuild);
}
export default { render };
