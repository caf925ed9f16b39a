// A drip chamber in true time. Drop number i of n in a time t falls at (2 i + 1) t / (2 n): evenly, never at the ends.
function render({ model, el, say: heard }) {
  const sets = model.get("drops") === null;
  const most = model.get("most");
  const root = frame(el, sets ? "Drip chamber with a roller clamp" : "Drip chamber");
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  let moving = !still.matches;
  let watch = null; // {start, seconds, seen}
  let frameAt = 0;

  const svg = draw(root, "svg", { viewBox: "0 0 340 300", width: 340, height: 300, "aria-hidden": "true" });
  const parts = sketch(svg, sets);
  const clock = put(root, "p");
  const told = put(root, "div");
  const row = put(root, "div", { className: "row" });
  const say = speaker(root, heard);

  // Drops of a minute as they stand: from the count in 15 s, or from the clamp.
  const perMinute = () => (sets ? Math.max(0, model.get("mark") - model.get("play")) : (model.get("drops") * 60) / model.get("seconds"));
  const moment = (place) => ((2 * place + 1) * 60) / (2 * perMinute());
  function fallen(seconds) {
    if (!perMinute()) return 0;
    return Math.max(0, Math.floor((seconds * perMinute()) / 60 + 0.5));
  }

  const watches = model.get("watches").map((seconds) => press(row, "", () => begin(seconds)));
  const tap = press(row, "Count a drop", () => {
    if (!watch) return;
    watch.seen += 1;
    clock.textContent = `You counted ${watch.seen}.`;
  });
  const quiet = press(row, "Without movement", () => choose(!moving), { "aria-pressed": String(!moving) });

  function choose(move) {
    end();
    moving = move;
    quiet.setAttribute("aria-pressed", String(!moving));
    tap.hidden = !moving;
    watches.forEach((button, place) => {
      const seconds = model.get("watches")[place];
      button.textContent = moving ? `Watch ${seconds} s` : `What falls in ${seconds} s`;
    });
    told.replaceChildren();
    clock.textContent = moving
      ? "The chamber drips in true time. Start a watch, and count."
      : "Each drop is told in words, five seconds at a time. Take all the time you want.";
    parts.rest();
    cancelAnimationFrame(frameAt);
    if (moving) frameAt = requestAnimationFrame(tick);
  }

  function begin(seconds) {
    told.replaceChildren();
    if (moving) {
      watch = { start: performance.now(), seconds, seen: 0 };
      say(`Watch of ${seconds} seconds started.`);
      tap.focus();
      return;
    }
    const list = put(told, "ol", { "aria-label": `Drops in ${seconds} seconds` });
    const lines = [];
    for (let from = 0; from < seconds; from += 5) {
      const count = fallen(from + 5) - fallen(from);
      const words = count ? Array(count).fill("drop").join(", ") : "none";
      lines.push(`${from} to ${from + 5} s: ${words}.`);
      put(list, "li", {}, lines.at(-1));
    }
    say(lines.join(" "));
  }

  function end() {
    if (!watch) return;
    const { seconds, seen } = watch;
    watch = null;
    const text = `${seconds} s are over.${seen ? ` You counted ${seen} ${seen === 1 ? "drop" : "drops"}.` : ""}`;
    clock.textContent = text;
    say(text);
  }

  let origin = performance.now();
  function tick(now) {
    if (!root.isConnected) return;
    const start = watch ? watch.start : origin;
    const seconds = (now - start) / 1000;
    if (watch && seconds >= watch.seconds) {
      // The drops go on from where they are: the count starts at a watch, and so does the first interval.
      origin = watch.start;
      end();
    } else if (watch && !watch.seen) {
      clock.textContent = `${Math.floor(seconds)} s of ${watch.seconds} s`;
    }
    parts.hand(watch ? seconds / watch.seconds : 0);
    const rate = perMinute();
    if (rate) {
      const phase = (seconds * rate) / 60 + 0.5; // a whole number as each drop falls
      const since = ((phase - Math.floor(phase)) * 60) / rate;
      const fall = Math.min(0.22, 30 / rate);
      parts.drop(since < fall && Math.floor(phase) > 0 ? since / fall : -1, phase - Math.floor(phase));
    } else parts.rest();
    frameAt = requestAnimationFrame(tick);
  }

  // The number that is set: the clamp, or what the person says falls in a minute.
  const name = sets ? "Roller clamp" : "Drops that fall in a minute, as you count them";
  const dial = put(root, "div", { role: sets ? "slider" : "spinbutton", tabIndex: 0, "aria-label": name,
    "aria-valuemin": 0, "aria-valuemax": most });
  dial.className = "field";
  dial.style.minHeight = "44px";
  const steps = put(root, "div", { className: "row" });
  const plan = sets
    ? [["Close by 10", -10], ["Close by 1", -1], ["Open by 1", 1], ["Open by 10", 10]]
    : [["10 fewer", -10], ["1 fewer", -1], ["1 more", 1], ["10 more", 10]];
  const words = () => {
    const mark = model.get("mark");
    if (!sets) return `${mark} in a minute`;
    return mark ? `open to notch ${mark} of ${most}` : "closed";
  };
  function set(mark) {
    const next = within(Math.round(mark), 0, most);
    // After a change the first drop comes after half of its interval, as at the start of a watch.
    origin = performance.now();
    if (watch && sets) { watch = null; clock.textContent = "The clamp was moved: start the watch again."; }
    model.set("mark", next);
    model.set("touched", true);
    model.set("said_by_hand", words());
    model.save_changes();
    show();
  }
  for (const [text, way] of plan) press(steps, text, () => { set(model.get("mark") + way); say(`${name}: ${words()}.`); });
  dial.addEventListener("keydown", (event) => {
    const way = keyStep(event, 10);
    if (!way) return;
    event.preventDefault();
    set(model.get("mark") + way);
  });
  function show() {
    dial.setAttribute("aria-valuenow", model.get("mark"));
    dial.setAttribute("aria-valuetext", words());
    dial.textContent = `${name}: ${words()}`;
    if (sets) {
      parts.clamp(model.get("mark") / most);
      if (!moving) told.replaceChildren();
    }
  }
  if (sets) {
    // The wheel of the clamp by pointer.
    let held = null;
    parts.wheel.addEventListener("pointerdown", (event) => {
      held = [event.clientY, model.get("mark")];
      parts.wheel.setPointerCapture(event.pointerId);
      dial.focus({ preventScroll: true });
    });
    parts.wheel.addEventListener("pointermove", (event) => {
      if (held) set(held[1] - ((event.clientY - held[0]) * most) / (parts.travel * svg.getBoundingClientRect().height / 300));
    });
    const leave = () => { if (held) say(`${name}: ${words()}.`); held = null; };
    parts.wheel.addEventListener("pointerup", leave);
    parts.wheel.addEventListener("pointercancel", leave);
  }
  const other = () => show();
  const calmer = () => { if (still.matches) choose(false); };
  model.on("change:mark", other);
  still.addEventListener("change", calmer);
  show();
  choose(moving);
  return () => {
    cancelAnimationFrame(frameAt);
    model.off("change:mark", other);
    still.removeEventListener("change", calmer);
  };
}

function sketch(svg, sets) {
  const line = { fill: "none", stroke: "var(--line)", "stroke-width": 2.2 };
  const glass = { fill: "var(--glass)", stroke: "var(--line)", "stroke-width": 1.6 };
  draw(svg, "rect", { x: 92, y: 4, width: 16, height: 34, ...glass });
  draw(svg, "path", { d: "M 56 38 H 144 L 138 210 H 62 Z", fill: "var(--ground)", stroke: "none" });
  draw(svg, "path", { d: "M 59.5 150 H 140.5 L 138 210 H 62 Z", fill: "var(--liquid)" });
  draw(svg, "line", { x1: 59.5, x2: 140.5, y1: 150, y2: 150, stroke: "var(--surface)", "stroke-width": 2 });
  draw(svg, "path", { d: "M 56 38 H 144 L 138 210 H 62 Z", ...line });
  draw(svg, "rect", { x: 96, y: 38, width: 8, height: 12, ...glass });
  draw(svg, "line", { x1: 100, x2: 100, y1: 210, y2: 300, stroke: "var(--line)", "stroke-width": 4 });
  const forming = draw(svg, "circle", { cx: 100, cy: 54, r: 1, fill: "var(--liquid)", stroke: "var(--surface)", "stroke-width": 1.6 });
  const falling = draw(svg, "path", { d: "M 0 -9 C 5 -2 6 2 6 4 A 6 6 0 0 1 -6 4 C -6 2 -5 -2 0 -9 Z", fill: "var(--liquid)", stroke: "var(--surface)", "stroke-width": 1.6 });
  // A clock without numbers of its own: its hand goes round once in a watch.
  draw(svg, "circle", { cx: 250, cy: 80, r: 52, fill: "var(--ground)", stroke: "var(--line)", "stroke-width": 2.2 });
  for (let k = 0; k < 12; k += 1) {
    const turn = (k * Math.PI) / 6;
    const long = k % 3 ? 5 : 10;
    draw(svg, "line", { x1: 250 + Math.sin(turn) * (50 - long), y1: 80 - Math.cos(turn) * (50 - long), x2: 250 + Math.sin(turn) * 50, y2: 80 - Math.cos(turn) * 50, stroke: "var(--ink)", "stroke-width": 1.4 });
  }
  const hand = draw(svg, "line", { x1: 250, y1: 80, x2: 250, y2: 38, stroke: "var(--strong)", "stroke-width": 3 });
  let wheel = null, knob = null;
  const travel = 70;
  if (sets) {
    draw(svg, "path", { d: "M 82 222 H 118 L 112 298 H 88 Z", ...glass });
    wheel = draw(svg, "g", { class: "handle" });
    draw(wheel, "rect", { x: 66, y: 214, width: 68, height: 86, fill: "transparent" });
    knob = draw(wheel, "circle", { cx: 100, r: 9, fill: "var(--strong)", stroke: "var(--ground)", "stroke-width": 1.5 });
    const text = draw(svg, "text", { x: 144, y: 232 }, "open");
    draw(svg, "text", { x: 144, y: 296 }, "closed");
    text.setAttribute("class", "soft");
  }
  return {
    wheel, travel: 56,
    rest() { forming.setAttribute("r", 2); falling.setAttribute("visibility", "hidden"); hand.setAttribute("transform", ""); },
    hand(share) { hand.setAttribute("transform", `rotate(${share * 360} 250 80)`); },
    drop(share, growth) {
      falling.setAttribute("visibility", share < 0 ? "hidden" : "visible");
      falling.setAttribute("transform", `translate(100 ${58 + Math.max(share, 0) ** 2 * 88})`);
      forming.setAttribute("r", 1 + 5 * growth);
      forming.setAttribute("cy", 51 + 5 * growth);
    },
    clamp(share) { knob?.setAttribute("cy", 286 - share * 56); },
  };
}
export default { render };
