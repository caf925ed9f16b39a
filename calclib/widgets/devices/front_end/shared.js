// What every device shares: SVG by name, keys kept from the notebook's shortcuts, words that are read out.
const NAMESPACE = "http://www.w3.org/2000/svg";

function draw(parent, name, attributes = {}, text = "") {
  const made = document.createElementNS(NAMESPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  parent.append(made);
  return made;
}

function put(parent, name, properties = {}, text = "") {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (key.includes("-") || key === "role" || key === "for") made.setAttribute(key, value);
    else made[key] = value;
  }
  if (text) made.textContent = text;
  parent.append(made);
  return made;
}

function press(parent, text, action, properties = {}) {
  const made = put(parent, "button", { type: "button", ...properties }, text);
  made.addEventListener("click", action);
  return made;
}

// The frame of a device. Keys don't reach the notebook's shortcuts; Tab and Escape pass, so that nobody is caught.
function frame(el, label) {
  el.replaceChildren();
  const root = put(el, "div", { className: "calclib-device", role: "group", "aria-label": label });
  root.setAttribute("data-lm-suppress-shortcuts", "true");
  root.addEventListener("keydown", (event) => {
    if (event.key !== "Tab" && event.key !== "Escape") event.stopPropagation();
  });
  // Drawings grow with the size of the text that they stand among.
  new ResizeObserver(() => root.style.setProperty("--grown", grown(root))).observe(root);
  return root;
}

const TEXT = 15; // pixels of the text for which drawings are laid out

function grown(element) {
  return parseFloat(getComputedStyle(element).fontSize) / TEXT || 1;
}

// A place that stays where it is, and whose text is read out when it changes; in a practice box that of the box.
function speaker(root, say) {
  if (say) return say;
  const place = put(root, "div", { className: "heard", role: "status" });
  return (text) => {
    place.textContent = place.textContent === text ? text + "\u00a0" : text;
  };
}

// Arrow keys by one mark, page keys by one printed number, Home and End to the ends.
function keyStep(event, large) {
  const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: large, PageDown: -large };
  if (event.key === "Home") return -Infinity;
  if (event.key === "End") return Infinity;
  return steps[event.key] ?? 0;
}

const within = (value, low, high) => Math.max(low, Math.min(high, value));

// Draw again whenever the width of the place changes by much.
function onWidth(element, action) {
  let last = 0;
  const watcher = new ResizeObserver(([entry]) => {
    const width = Math.floor(entry.contentRect.width / grown(element));
    if (width > 0 && Math.abs(width - last) > 4) action((last = width));
  });
  watcher.observe(element);
  return () => watcher.disconnect();
}
