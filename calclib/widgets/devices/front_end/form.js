// Three fields as they are typed; Python reads them and says whether they agree. The curve is what is left in the bag.
function render({ model, el, say: heard }) {
  const root = frame(el, "Rate, volume and time");
  put(root, "p", { className: "soft" }, model.get("about"));
  const row = put(root, "div", { className: "row" });
  let waiting = null;
  const send = () => {
    clearTimeout(waiting);
    model.set("typed", Object.fromEntries(inputs.map(([name, input]) => [name, input.value])));
    model.save_changes();
  };
  const inputs = model.get("fields").map(([name, label, unit]) => {
    const field = put(row, "label", { className: "field" });
    put(field, "span", {}, `${label} (${unit})`);
    const input = put(field, "input", { type: "text", autocomplete: "off", spellcheck: false });
    input.value = model.get("typed")[name] ?? "";
    input.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(send, 500); });
    input.addEventListener("change", send);
    return [name, input];
  });
  const told = put(root, "p", heard ? {} : { role: "status" });
  const place = put(root, "div");
  let width = 0;
  function show() {
    if (heard && told.textContent !== model.get("said")) heard(model.get("said"));
    told.textContent = model.get("said");
    told.className = model.get("disagrees") ? "wrong" : "";
    place.replaceChildren();
    const points = model.get("curve");
    if (points.length < 2 || !width) return;
    const wide = Math.min(width, 560), left = 52, right = 20, low = 150, top = 24;
    const svg = draw(place, "svg", { viewBox: `0 0 ${wide} 196`, width: wide, height: 196, "aria-hidden": "true" });
    const until = points.at(-1)[0], most = points[0][1];
    const x = (minute) => left + (minute / until) * (wide - left - right);
    const y = (ml) => low - (ml / most) * (low - top);
    draw(svg, "text", { x: 0, y: 12 }, "Left in the bag (mL)");
    for (const ml of [0, most]) {
      draw(svg, "line", { x1: left, x2: wide - right, y1: y(ml), y2: y(ml), stroke: "var(--line)", "stroke-width": ml ? 0.5 : 1.4 });
      draw(svg, "text", { x: left - 8, y: y(ml), "text-anchor": "end", "dominant-baseline": "central" }, ml.toLocaleString("en-US", { maximumFractionDigits: 1 }));
    }
    const hours = until > 120;
    const end = (hours ? until / 60 : until).toLocaleString("en-US", { maximumFractionDigits: 1 });
    draw(svg, "text", { x: left, y: low + 20, "text-anchor": "middle" }, "0");
    draw(svg, "text", { x: wide - right, y: low + 20, "text-anchor": "end" }, `${end} ${hours ? "h" : "min"}`);
    draw(svg, "polyline", { points: points.map(([minute, ml]) => `${x(minute)},${y(ml)}`).join(" "), fill: "none", stroke: "var(--strong)", "stroke-width": 3 });
  }
  const names = ["change:said", "change:disagrees", "change:curve"];
  for (const name of names) model.on(name, show);
  show();
  const stop = onWidth(root, (now) => { width = now; show(); });
  return () => { stop(); clearTimeout(waiting); for (const name of names) model.off(name, show); };
}
export default { render };
