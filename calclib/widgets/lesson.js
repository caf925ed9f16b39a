// Questions and worked examples on the page. What is sent is shown, and what is typed is sent back; nothing is judged
// here. All text goes in as text; only drawings, which the library makes itself, are set as markup.

const PATIENCE = 5000; // milliseconds before a press that nobody answers is spoken of
const SILENT =
  "Jupyter doesn't answer. In the menu at the top press Run, then Run All Cells, and answer again.";
const SIGNS = ["=", "\u00d7", "+", "\u2212", "\u00f7", "/", ":"];
const METHOD = "calclib-method"; // one board's change of method is followed by the others

let made_so_far = 0;

// A number and its unit stay on one line.
const UNITS = /(\d) (?=(?:mg|mcg|g|kg|lb|mL|L|h|min|s|units?|gtt|mEq|mm|cm|in|oz|tablets?|capsules?)(?![A-Za-z]))/g;

function made(tag, className, text) {
  const node = document.createElement(tag);
  if (className) node.className = className;
  if (text !== undefined) node.textContent = String(text).replace(UNITS, "$1\u00a0");
  return node;
}

const paragraphs = (lines, className) => (lines || []).map((line) => made("p", className, line));

function button(text, strong, action) {
  const node = made("button", strong ? "strong" : "", text);
  node.type = action ? "button" : "submit";
  if (action) node.addEventListener("click", action);
  return node;
}

function drawing(html) {
  const node = made("div", "drawing");
  node.innerHTML = html;
  return node;
}

function field(id, label, describedBy) {
  const input = made("input");
  input.type = "text";
  input.id = id;
  input.autocomplete = "off";
  input.spellcheck = false;
  input.setAttribute("aria-label", label);
  if (describedBy) input.setAttribute("aria-describedby", describedBy);
  return input;
}

// Keys that are typed here are kept from the shortcuts of the notebook.
function root(el) {
  const node = made("div", "calclib-lesson");
  node.setAttribute("data-lm-suppress-shortcuts", "true");
  node.addEventListener("keydown", (event) => {
    if (event.key !== "Tab" && event.key !== "Escape") event.stopPropagation();
  });
  el.append(node);
  return node;
}

function sender(model, say) {
  let waiting = 0;
  return {
    send(message) {
      clearTimeout(waiting);
      waiting = setTimeout(() => say(SILENT), PATIENCE);
      model.send(message);
    },
    answered: () => clearTimeout(waiting),
  };
}

function verdictNodes({ right, head, lines }) {
  return [made("p", right ? "head-right" : "head-wrong", head), ...paragraphs(lines)];
}

// A question: an answer is chosen or typed, then it is explained.
function question(model, el) {
  const shown = model.get("shown");
  const id = `calclib-lesson-${(made_so_far += 1)}`;
  const node = root(el);
  const form = made("form");
  node.append(form);
  const told = made("div", "told");
  told.setAttribute("role", "status");
  const picture = made("div");
  const help = made("div");
  const to = sender(model, (text) => told.replaceChildren(made("p", "head-wrong", text)));
  const whys = [];
  let typed = null;
  form.append(...paragraphs(shown.stem), ...(shown.drawings || []).map(drawing));
  if (shown.choices.length) {
    const set = made("fieldset");
    const legend = made("legend");
    legend.append(...paragraphs(shown.ask));
    set.append(legend);
    shown.choices.forEach((text, place) => {
      const label = made("label", "choice");
      const radio = made("input");
      radio.type = "radio";
      radio.name = id;
      radio.value = String(place);
      const why = made("span", "why");
      label.append(radio, document.createTextNode(text), why);
      whys.push([label, why]);
      set.append(label);
    });
    form.append(set);
  } else {
    form.append(...paragraphs(shown.ask, "asked"), ...paragraphs([shown.rule].filter(Boolean), "why"));
    const label = made("label", "field", "Your answer, with its unit");
    if (!shown.unit) label.textContent = "Your answer";
    typed = field(id, `Your answer: ${shown.ask.at(-1) || ""}`);
    label.htmlFor = id;
    form.append(label, typed);
  }
  form.append(button("Check my answer", true));
  node.append(told, picture, help);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const chosen = form.querySelector("input[type=radio]:checked");
    to.send({ answer: typed ? typed.value : chosen ? chosen.value : "" });
  });
  const paint = () => {
    to.answered();
    const now = model.get("told");
    if (!now.head) return;
    told.replaceChildren(...verdictNodes(now), ...paragraphs(now.explains));
    picture.replaceChildren(...(now.picture ? [drawing(now.picture)] : []));
    for (const [label, why] of whys) {
      label.classList.remove("is-right", "is-wrong");
      why.textContent = "";
    }
    if (whys.length && now.place !== null && whys[now.place]) {
      const [label] = whys[now.place];
      label.classList.add(now.right ? "is-right" : "is-wrong");
    }
    help.replaceChildren(
      ...(now.offers ? [button("Show me how it goes", false, () => to.send({ show: true }))] : []),
    );
  };
  model.on("change:told", paint);
  paint();
  return () => model.off("change:told", paint);
}

// A list of answers, of which none is chosen at first.
function chooser(id, label, choices) {
  const select = made("select");
  select.id = id;
  select.setAttribute("aria-label", label);
  for (const text of ["", ...choices]) {
    const option = made("option", "", text || "Choose");
    option.value = text;
    select.append(option);
  }
  return select;
}

// A worked example on a board, whole or with gaps.
function amount(shown, gaps) {
  if (shown.gap) {
    const id = `calclib-gap-${(made_so_far += 1)}`;
    const input = (shown.choices || []).length ? chooser(id, shown.label, shown.choices) : field(id, shown.label);
    input.value = gaps.typed[shown.gap] || "";
    input.addEventListener("input", () => (gaps.typed[shown.gap] = input.value));
    return input;
  }
  const node = made("span");
  node.append(shown.number, ...(shown.number && shown.units.length ? ["\u00a0"] : []));
  shown.units.forEach((unit, place) => {
    if (place) node.append("\u00b7");
    node.append(unit.struck ? made("s", "", unit.text) : unit.text);
  });
  return node;
}

function fraction(ratio, gaps) {
  if (!ratio.bottom) return amount(ratio.top, gaps);
  const node = made("span", "fraction");
  const top = made("span", "top");
  const bottom = made("span", "bottom");
  top.append(amount(ratio.top, gaps));
  bottom.append(amount(ratio.bottom, gaps));
  node.append(top, made("span", "heard", " over "), bottom);
  return node;
}

function piece(shown, gaps) {
  if (shown.gap) return [amount(shown, gaps)];
  if (shown.words !== undefined) return [made("span", "", shown.words)];
  if (shown.sign !== undefined) return [made("span", "", shown.sign.replace("-", "\u2212"))];
  const nodes = shown.product.flatMap((ratio, place) => [
    ...(place ? [made("span", "", "\u00d7")] : []),
    fraction(ratio, gaps),
  ]);
  return shown.root ? [made("span", "", "\u221a("), ...nodes, made("span", "", ")")] : nodes;
}

// A sign or a colon stays with what follows it, and a comma or a semicolon with what it follows, however narrow the page.
function kept(nodes) {
  const groups = [];
  let open = false;
  for (const node of nodes) {
    const follows = groups.length > 0 && /^[,;]/.test(node.textContent);
    if (follows) node.classList.add("follows");
    if (!open && !follows) groups.push(made("span", "kept"));
    groups.at(-1).append(node);
    open = SIGNS.includes(node.textContent) || node.textContent.endsWith(":");
  }
  return groups;
}

function boardLines(lines, gaps) {
  const list = made("ol", "board");
  for (const line of lines) {
    const item = made("li");
    const row = made("div", "arithmetic");
    row.append(...kept(line.pieces.flatMap((one) => piece(one, gaps))));
    item.append(row, made("p", "why", line.why));
    list.append(item);
  }
  return list;
}

function board(model, el) {
  const shown = model.get("shown");
  const id = `calclib-lesson-${(made_so_far += 1)}`;
  const node = root(el);
  const form = made("form");
  const told = made("div", "told");
  told.setAttribute("role", "status");
  const whole = made("div");
  const gaps = { typed: {} };
  const to = sender(model, (text) => told.replaceChildren(made("p", "head-wrong", text)));
  const radios = made("fieldset", "methods");
  radios.append(made("legend", "", "Write it your way"));
  for (const [name, words] of Object.entries(shown.methods)) {
    const label = made("label");
    const radio = made("input");
    radio.type = "radio";
    radio.name = id;
    radio.value = name;
    radio.addEventListener("change", () =>
      document.dispatchEvent(new CustomEvent(METHOD, { detail: (window.calclibMethod = name) })),
    );
    label.append(radio, ` ${words}`);
    radios.append(label);
  }
  const method = () => (window.calclibMethod in shown.methods ? window.calclibMethod : shown.method);
  const place = made("div");
  const lay = () => {
    radios.querySelector(`input[value="${method()}"]`).checked = true;
    place.replaceChildren(
      ...shown.boards[method()].flatMap((part) => [
        ...paragraphs([part.asked], "asked"),
        ...(part.lines.length ? [boardLines(part.lines, gaps)] : blank(part)),
      ]),
    );
    const filled = model.get("told").whole;
    whole.replaceChildren(
      ...(filled ? [made("p", "asked", "The board, filled in"), ...filled[method()].map((p) => boardLines(p.lines, gaps))] : []),
    );
  };
  const blank = (part) =>
    [
      ...(part.choices.length
        ? []
        : [[`${part.name}/setup`, "Set it up: numbers with their units, with * and /, as in 2 h * 60 min / 1 h"]]),
      [`${part.name}/answer`, part.choices.length ? "Your answer" : "Your answer, with its unit"],
    ].flatMap(([name, words]) => {
      const label = made("label", "field", words);
      const input = amount({ gap: name, label: `${words}. ${part.asked}`, choices: part.choices }, gaps);
      label.htmlFor = input.id;
      if (!part.choices.length) input.style.width = "22em";
      return [label, input, ...(name.endsWith("answer") && part.rule ? paragraphs([part.rule], "why") : [])];
    });
  form.append(...paragraphs(shown.stem), ...(shown.drawings || []).map(drawing), radios, place);
  if (shown.asks) form.append(button("Check my board", true));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (shown.asks) to.send({ typed: gaps.typed, method: method() });
  });
  const help = made("div");
  node.append(form, told, help, whole);
  const paint = () => {
    to.answered();
    const now = model.get("told");
    if (now.found) told.replaceChildren(...now.found.flatMap(verdictNodes));
    help.replaceChildren(
      ...(now.offers ? [button("Fill in the board", false, () => to.send({ show: true }))] : []),
    );
    lay();
  };
  model.on("change:told", paint);
  document.addEventListener(METHOD, lay);
  paint();
  return () => {
    model.off("change:told", paint);
    document.removeEventListener(METHOD, lay);
  };
}

function render({ model, el }) {
  return model.get("shown").kind === "board" ? board(model, el) : question(model, el);
}
export default { render };
