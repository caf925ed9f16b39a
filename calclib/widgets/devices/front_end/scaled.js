// A syringe, cup or bag with a scale. All positions are numbers of marks; pixels serve the eye alone.
function render({ model, el, say: heard }) {
  const facts = model.get("device");
  const reads = model.get("level") !== null;
  const root = frame(el, facts.name);
  const seen = model.get("seen");
  if (seen) put(root, "p", { className: "heard" }, seen);
  const place = put(root, "div");
  const told = put(root, "p", { "aria-hidden": "true" });
  const buttons = put(root, "div", { className: "row" });
  const say = speaker(root, heard);
  let slider = null;
  let layout = null;

  const words = () => `${model.get("control")}: ${facts.words[model.get("mark")]}.`;
  function show() {
    const mark = model.get("mark");
    slider.setAttribute("aria-valuenow", mark);
    slider.setAttribute("aria-valuetext", facts.words[mark]);
    told.textContent = words();
    layout.move(mark);
    for (const [button, way] of steps) button.disabled = way < 0 ? mark === 0 : mark === facts.marks;
  }
  function set(mark) {
    model.set("mark", within(Math.round(mark), 0, facts.marks));
    model.set("touched", true);
    model.set("said_by_hand", facts.words[model.get("mark")]);
    model.save_changes();
    show();
  }

  const steps = [];
  const down = facts.drawn === "bag" ? "down" : "less";
  const up = facts.drawn === "bag" ? "up" : "more";
  const plan = facts.drawn === "bag"
    ? [[`One number up`, -facts.spaces], ["One mark up", -1], ["One mark down", 1], ["One number down", facts.spaces]]
    : [[`One number ${down}`, -facts.spaces], [`One mark ${down}`, -1], [`One mark ${up}`, 1], [`One number ${up}`, facts.spaces]];
  for (const [text, way] of plan) {
    const made = press(buttons, text, () => { set(model.get("mark") + way); say(words()); });
    steps.push([made, way]);
  }

  function rebuild(width) {
    const had = slider !== null && slider === document.activeElement;
    place.replaceChildren();
    layout = LAYOUTS[facts.drawn](place, facts, width, { reads, level: model.get("level"), strip: model.get("strip") });
    slider = layout.handle;
    // What is drawn is told in words above; only what can be taken hold of is named in the drawing.
    for (const one of layout.svg.children) if (one !== slider) one.setAttribute("aria-hidden", "true");
    for (const [name, value] of Object.entries({
      role: "slider", tabindex: 0, class: "handle", "aria-label": `${model.get("control")} of the ${facts.name}`,
      "aria-valuemin": 0, "aria-valuemax": facts.marks, "aria-orientation": layout.vertical ? "vertical" : "horizontal",
    })) slider.setAttribute(name, value);
    slider.addEventListener("keydown", (event) => {
      let way = keyStep(event, facts.spaces);
      if (!way) return;
      event.preventDefault();
      // On a scale that counts downward, the arrow that points down goes on to the next mark.
      if (facts.drawn === "bag" && Number.isFinite(way) && /ArrowUp|ArrowDown/.test(event.key)) way = -way;
      set(model.get("mark") + way);
    });
    let offset = null;
    layout.svg.addEventListener("pointerdown", (event) => {
      const at = layout.markAt(event);
      const held = slider.contains(event.target);
      offset = held ? model.get("mark") - at : 0;
      layout.svg.setPointerCapture(event.pointerId);
      slider.focus({ preventScroll: true });
      if (!held) set(at);
    });
    layout.svg.addEventListener("pointermove", (event) => {
      if (offset !== null) set(layout.markAt(event) + offset);
    });
    const leave = () => { if (offset !== null) say(words()); offset = null; };
    layout.svg.addEventListener("pointerup", leave);
    layout.svg.addEventListener("pointercancel", leave);
    show();
    if (had) slider.focus({ preventScroll: true });
  }
  const other = () => layout && show();
  model.on("change:mark", other);
  const stop = onWidth(root, rebuild);
  return () => { stop(); model.off("change:mark", other); };
}

const COLORS = { ink: "var(--ink)", line: "var(--line)", glass: "var(--glass)", paper: "var(--ground)",
  liquid: "var(--liquid)", surface: "var(--surface)", rubber: "var(--rubber)", accent: "var(--strong)" };

// Where a pointer stands in the units of a drawing.
function pointIn(svg, event) {
  const box = svg.getBoundingClientRect();
  const view = svg.viewBox.baseVal;
  return [((event.clientX - box.left) / box.width) * view.width, ((event.clientY - box.top) / box.height) * view.height];
}

function canvas(place, width, height) {
  return draw(place, "svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "presentation" });
}

function syringe(place, facts, width, { reads, level }) {
  // On a narrow page the syringe stands upright, needle up: lying, its marks would be too close to tell apart.
  const vertical = width < 620;
  const needle = 76, tail = 92;
  const long = vertical ? 700 : Math.min(width, 830);
  const scale = long - needle - tail - 34;
  const bore = Math.max(36, Math.min(vertical ? 120 : 120, (facts.bore / facts.length) * scale));
  const wide = vertical ? Math.min(width, Math.max(bore + 150, 250)) : bore + 110;
  const svg = vertical ? canvas(place, wide, long) : canvas(place, long, wide);
  const middle = vertical ? wide - bore / 2 - 48 : wide - bore / 2 - 32;
  const step = scale / facts.end;
  const at = (mark) => needle + mark * step;
  // a runs along the syringe, c across it.
  const box = (parent, a, c, along, across, look) => draw(parent, "rect", vertical
    ? { x: c, y: a, width: across, height: along, ...look } : { x: a, y: c, width: along, height: across, ...look });
  const line = (parent, a1, c1, a2, c2, look) => draw(parent, "line", vertical
    ? { x1: c1, y1: a1, x2: c2, y2: a2, ...look } : { x1: a1, y1: c1, x2: a2, y2: c2, ...look });
  const text = (a, c, words) => draw(svg, "text", vertical
    ? { x: c, y: a, "text-anchor": "end", "dominant-baseline": "central" }
    : { x: a, y: c, "text-anchor": "middle", "dominant-baseline": "central" }, words);
  const low = middle - bore / 2;
  const edge = { fill: "none", stroke: COLORS.line, "stroke-width": 1.8 };

  line(svg, 4, middle, 44, middle, { stroke: COLORS.line, "stroke-width": 2 });
  box(svg, 44, middle - 8, 18, 16, { fill: COLORS.glass, stroke: COLORS.line, "stroke-width": 1.4 });
  box(svg, 62, middle - 6, needle - 62, 12, { fill: COLORS.glass, stroke: COLORS.line, "stroke-width": 1.4 });
  const barrel = at(facts.end) + 34 - needle;
  box(svg, needle, low, barrel, bore, { fill: COLORS.paper });
  const liquid = box(svg, needle, low, 0, bore, { fill: COLORS.liquid });

  const plunger = draw(svg, "g");
  const ring = facts.ring * step;
  const back = box(plunger, 0, middle - Math.min(14, bore / 4), 90, Math.min(28, bore / 2), { fill: COLORS.paper, stroke: COLORS.line, "stroke-width": 1.4 });
  const lip = Math.max(4, Math.min(9, ring / 3));
  const parts = [
    box(plunger, 0, low + 2, lip, bore - 4, { fill: COLORS.rubber }),
    box(plunger, 0, low + 9, ring, bore - 18, { fill: COLORS.rubber }),
    box(plunger, 0, low + 2, lip, bore - 4, { fill: COLORS.rubber }),
  ];
  const thumb = box(plunger, 0, middle - Math.max(24, bore * 0.4), 9, Math.max(48, bore * 0.8), { fill: COLORS.glass, stroke: COLORS.line, "stroke-width": 1.4 });
  box(svg, needle, low, barrel, bore, edge);
  box(svg, needle + barrel, low - 16, 9, bore + 32, { fill: COLORS.glass, stroke: COLORS.line, "stroke-width": 1.4 });

  // Marks stand along the wall; nothing lies between them and the edges of the ring.
  const named = new Map(facts.numbers.map(([mark, words]) => [mark, words]));
  for (let mark = 0; mark <= facts.end; mark += 1) {
    const long = named.has(mark) ? 20 : facts.spaces === 10 && mark % 5 === 0 ? 15 : 10;
    line(svg, at(mark), low - 2, at(mark), low - 2 - long, { stroke: COLORS.ink, "stroke-width": 1.1 });
    if (named.has(mark)) text(at(mark), low - (vertical ? 28 : 33), named.get(mark));
  }
  text(vertical ? needle - 22 : needle - 30, low - (vertical ? 28 : 33), facts.unit);

  const reach = (parent) => [
    box(parent, 0, low - 24, 48, bore + 48, { fill: "transparent" }),
    box(parent, 0, middle - 30, 110, 60, { fill: "transparent" }),
    box(parent, 0, low - 4, 10, bore + 8, { class: "halo", rx: 4 }),
  ];
  const handle = reads ? draw(svg, "g") : plunger;
  const [near, far, halo] = reach(handle);
  const pointer = reads ? line(handle, 0, low - 26, 0, low + bore + 8, { stroke: COLORS.accent, "stroke-width": 2.5 }) : null;
  const set = (node, a) => node.setAttribute(vertical ? "y" : "x", a);
  const span = (node, value) => node.setAttribute(vertical ? "height" : "width", value);

  function movePlunger(mark) {
    const front = at(mark);
    span(liquid, front - needle);
    const from = front + ring;
    // Never past the page: near the end the rod is drawn shorter.
    const end = Math.min(needle + barrel + 26 + (mark / facts.end) * 40, long - 14);
    set(parts[0], front); set(parts[1], front); set(parts[2], from - lip);
    set(back, from); span(back, Math.max(end - from, 4)); set(thumb, end);
    return [front, end];
  }
  if (reads) movePlunger(level);
  function move(mark) {
    if (!reads) {
      const [front, end] = movePlunger(mark);
      set(near, front - 10); span(near, Math.max(ring + 20, 48));
      set(far, end - 44); span(far, 62);
      set(halo, front - 3); span(halo, ring + 6);
    } else {
      for (const name of vertical ? ["y1", "y2"] : ["x1", "x2"]) pointer.setAttribute(name, at(mark));
      set(near, at(mark) - 24); set(far, at(mark) - 24); span(far, 48);
      set(halo, at(mark) - 5);
    }
  }
  const markAt = (event) => (pointIn(svg, event)[vertical ? 1 : 0] - needle) / step;
  return { svg, handle, vertical, move, markAt };
}

function cup(place, facts, width, { reads, level }) {
  const wide = Math.min(width, 340), high = 330, bottom = 300, middle = wide / 2;
  const svg = canvas(place, wide, high);
  const { bottom: small, rim: large, milliliters } = facts;
  // A cone that narrows toward the bottom: the higher, the closer its marks.
  const r0 = small / 2, r1 = large / 2;
  const tall = (3 * milliliters * 1000) / (Math.PI * (r0 * r0 + r0 * r1 + r1 * r1));
  const slope = (r1 - r0) / tall;
  const heightOf = (ml) => (Math.cbrt(r0 ** 3 + (3 * slope * ml * 1000) / Math.PI) - r0) / slope;
  const px = 236 / tall;
  const yOf = (mark) => bottom - heightOf((mark / facts.end) * milliliters) * px;
  const half = (y) => (r0 + slope * ((bottom - y) / px)) * px;
  const top = bottom - tall * px - 26;
  const fluid = draw(svg, "polygon", { fill: COLORS.liquid });
  const surface = draw(svg, "line", { stroke: COLORS.surface, "stroke-width": 3 });
  draw(svg, "polyline", { points: `${middle - half(top)},${top} ${middle - half(bottom)},${bottom} ${middle + half(bottom)},${bottom} ${middle + half(top)},${top}`,
    fill: "none", stroke: COLORS.line, "stroke-width": 2.4, "stroke-linejoin": "round" });
  draw(svg, "line", { x1: middle - half(top) - 6, x2: middle + half(top) + 6, y1: top, y2: top, stroke: COLORS.line, "stroke-width": 3.4 });
  const named = new Map(facts.numbers.map(([mark, words]) => [mark, words]));
  for (let mark = 1; mark <= facts.marks; mark += 1) {
    const y = yOf(mark), x = middle - half(y) + 5;
    draw(svg, "line", { x1: x, x2: x + (named.has(mark) ? 34 : 20), y1: y, y2: y, stroke: COLORS.ink, "stroke-width": 1.3 });
    if (named.has(mark)) draw(svg, "text", { x: x + 42, y, "dominant-baseline": "central" }, `${named.get(mark)} ${facts.unit}`);
  }
  function fill(mark) {
    const y = yOf(mark);
    fluid.setAttribute("points", `${middle - half(bottom)},${bottom} ${middle + half(bottom)},${bottom} ${middle + half(y)},${y} ${middle - half(y)},${y}`);
    for (const [name, value] of [["x1", middle - half(y)], ["x2", middle + half(y)], ["y1", y], ["y2", y]]) surface.setAttribute(name, value);
  }
  if (reads) fill(level);
  return level_handle(svg, { vertical: true, x0: middle - half(top) - 4, x1: middle + half(top) + 4, yOf, facts, fill, reads,
    unAt: (y) => { let best = 0; for (let m = 0; m <= facts.marks; m += 1) if (Math.abs(yOf(m) - y) < Math.abs(yOf(best) - y)) best = m; return best; } });
}

const LINE_OF_TEXT = 15;

// Heights at least so far apart, as near to where they should be as that allows, and as much moved up as down.
function apart(wanted, distance) {
  const placed = [];
  for (const at of wanted) placed.push(Math.max(at, (placed.at(-1) ?? -Infinity) + distance));
  const over = placed.at(-1) - wanted.at(-1);
  return placed.map((at) => at - over / 2);
}

function bag(place, facts, width, { reads, level, strip }) {
  const wide = Math.min(width, 400), high = 470;
  const svg = canvas(place, wide, high);
  const left = strip.length ? Math.min(150, wide * 0.36) : 60, right = left + Math.min(190, wide - left - 16);
  const low = 420, top = 50, zero = 92, last = 388;
  const step = (last - zero) / facts.end;
  const yOf = (mark) => zero + mark * step;
  const shape = { x: left, y: top, width: right - left, height: low - top, rx: 22 };
  const name = `bag-${Math.random().toString(36).slice(2)}`;
  const clip = draw(draw(svg, "defs"), "clipPath", { id: name });
  draw(clip, "rect", shape);
  draw(svg, "rect", { ...shape, fill: COLORS.paper });
  const fluid = draw(svg, "rect", { x: left, width: right - left, fill: COLORS.liquid, "clip-path": `url(#${name})` });
  const surface = draw(svg, "line", { x1: left + 2, x2: right - 2, stroke: COLORS.surface, "stroke-width": 3 });
  draw(svg, "rect", { ...shape, fill: "none", stroke: COLORS.line, "stroke-width": 2.2 });
  const middle = (left + right) / 2;
  draw(svg, "path", { d: `M ${middle - 26} ${top} v -26 h 52 v 26`, fill: "none", stroke: COLORS.line, "stroke-width": 2 });
  draw(svg, "circle", { cx: middle, cy: 36, r: 6, fill: COLORS.paper, stroke: COLORS.line, "stroke-width": 1.8 });
  for (const x of [middle - 30, middle + 30]) draw(svg, "rect", { x: x - 8, y: low, width: 16, height: 24, fill: COLORS.glass, stroke: COLORS.line });
  draw(svg, "line", { x1: middle - 30, x2: middle - 30, y1: low + 24, y2: high, stroke: COLORS.line, "stroke-width": 3 });
  const x = left + 40;
  draw(svg, "line", { x1: x, x2: x, y1: zero, y2: yOf(facts.marks), stroke: COLORS.ink, "stroke-width": 1.3 });
  const named = new Map(facts.numbers.map(([mark, words]) => [mark, words]));
  for (let mark = 0; mark <= facts.marks; mark += 1) {
    const y = yOf(mark);
    draw(svg, "line", { x1: x, x2: x + (named.has(mark) ? 34 : 20), y1: y, y2: y, stroke: COLORS.ink, "stroke-width": 1.3 });
    if (named.has(mark)) draw(svg, "text", { x: x + 42, y, "dominant-baseline": "central" }, named.get(mark));
  }
  draw(svg, "text", { x: x + 42, y: zero - 22, "dominant-baseline": "central" }, facts.unit);
  if (strip.length) {
    const edge = left - 10;
    const places = apart(strip.map(([mark]) => yOf(mark)), LINE_OF_TEXT);
    const crowded = places.some((at, k) => Math.abs(at - yOf(strip[k][0])) > 1);
    const inner = crowded ? edge - 24 : 4;
    draw(svg, "rect", { x: inner, y: zero - 12, width: edge - inner, height: step * strip[strip.length - 1][0] + 24, fill: COLORS.glass, stroke: COLORS.line });
    strip.forEach(([mark, words], k) => {
      const y = yOf(mark);
      draw(svg, "line", { x1: edge - 14, x2: edge, y1: y, y2: y, stroke: COLORS.ink, "stroke-width": 1.6 });
      // Where the lines are closer than text is high, the words stand beside the strip, each with a line to its own.
      if (crowded) draw(svg, "polyline", { points: `${edge - 14},${y} ${edge - 24},${y} ${edge - 40},${places[k]}`, fill: "none", stroke: COLORS.line });
      draw(svg, "text", { x: crowded ? edge - 43 : edge - 18, y: places[k], "text-anchor": "end", "dominant-baseline": "central" }, words);
    });
  }
  function fill(mark) {
    const y = yOf(mark);
    fluid.setAttribute("y", y);
    fluid.setAttribute("height", low - y);
    surface.setAttribute("y1", y);
    surface.setAttribute("y2", y);
  }
  if (reads) fill(level);
  return level_handle(svg, { x0: left - 4, x1: right + 4, yOf, facts, fill, reads, unAt: (y) => (y - zero) / step });
}

// The level of a cup or bag, or the line that is laid where it is read, as something to take hold of.
function level_handle(svg, { x0, x1, yOf, facts, fill, reads, unAt }) {
  const handle = draw(svg, "g");
  const reach = draw(handle, "rect", { x: x0, width: x1 - x0, height: 44, fill: "transparent" });
  const halo = draw(handle, "rect", { x: x0, width: x1 - x0, height: 12, class: "halo", rx: 5 });
  const line = draw(handle, "line", { x1: x0 - 6, x2: x1 + 6, stroke: COLORS.accent, "stroke-width": reads ? 2.5 : 0 });
  const grip = draw(handle, "circle", { cx: x1 - 2, r: 9, fill: COLORS.accent });
  function move(mark) {
    const y = yOf(mark);
    if (!reads) fill(mark);
    reach.setAttribute("y", y - 22);
    halo.setAttribute("y", y - 6);
    grip.setAttribute("cy", y);
    line.setAttribute("y1", y);
    line.setAttribute("y2", y);
  }
  return { svg, handle, vertical: true, move, markAt: (event) => unAt(pointIn(svg, event)[1]) };
}

const LAYOUTS = { syringe, cup, bag };
export default { render };
