// The practice box on the page. It shows what it is sent and sends what was typed; it judges nothing.
// All text goes in as text; only drawings, which the library makes itself, are set as markup.

const MATHEMATICS = "http://www.w3.org/1998/Math/MathML";
const PATIENCE = 4000; // milliseconds before a press that nobody answers is spoken of
const AFTER_TYPING = 250; // milliseconds of rest before a set-up is shown
const SILENT =
  "Jupyter doesn't answer. Press Run, then Run All Cells, in the menu at the top; your practice so far is kept.";

let boxes = 0;

function made(tag, className, text) {
  const node = document.createElement(tag);
  if (className) node.className = className;
  if (text !== undefined) node.textContent = text;
  return node;
}

function paragraphs(lines, className) {
  return (lines || []).map((line) => made("p", className, line));
}

function button(text, action, strong) {
  const node = made("button", strong ? "strong" : "", text);
  node.type = "button";
  node.addEventListener("click", action);
  return node;
}

// Mathematics, from the tree that Python made of a set-up.
function mathematics(tree) {
  const node = document.createElementNS(MATHEMATICS, "math");
  node.setAttribute("display", "block");
  node.append(mathNode(tree));
  return node;
}

function mathNode([kind, ...of]) {
  const tags = { row: "mrow", fraction: "mfrac", struck: "mrow", root: "msqrt", power: "msup" };
  const leaves = { text: "mtext", number: "mn", sign: "mo" };
  const node = document.createElementNS(MATHEMATICS, tags[kind] || leaves[kind] || "mrow");
  if (kind in leaves) node.textContent = of[0];
  else node.append(...of.map(mathNode));
  if (kind === "struck") {
    node.setAttribute("class", "struck");
    node.setAttribute("aria-label", `${node.textContent}, canceled`);
  }
  return node;
}

function render({ model, el }) {
  const id = `calclib-practice-${++boxes}`;
  const root = made("div", "calclib-practice calclib-live");
  root.setAttribute("role", "group");
  root.setAttribute("aria-label", "Practice problems");
  root.setAttribute("data-lm-suppress-shortcuts", "true");
  const heading = made("div", "heading");
  heading.append(...paragraphs(model.get("heading")));
  const rule = made("p", "progress", model.get("rule"));
  const stem = made("div", "stem");
  const work = made("div", "work");
  const drawings = made("div", "drawings");
  const form = made("form", "parts");
  work.append(drawings, form);
  const notice = made("div", "notice");
  const worked = made("div", "worked");
  const progress = made("p", "progress");
  const announced = made("div", "announced");
  announced.setAttribute("role", "status");
  const check = button("Check", () => ask("check"), true);
  const solution = button("Worked solution", () => ask("worked"));
  const next = button("New problem", () => ask("next"));
  const buttons = made("div", "buttons");
  buttons.append(check, solution, next);
  root.append(heading, stem, work, notice, buttons, progress, rule, worked, announced);
  el.append(root);

  let fields = {}; // by part: its input or radio buttons, its set-up, the places for verdict, mathematics and hint
  let waiting = 0;
  let dead = false; // whether the kernel behind the box is gone
  let fresh = false; // whether a new problem was asked for here, so that the focus belongs in it

  // Keys pressed here must not reach the notebook's shortcuts: typing "d d" would delete the cell.
  // Tab and Escape pass, so that nobody is caught here.
  root.addEventListener("keydown", (event) => {
    if (event.key !== "Tab" && event.key !== "Escape") event.stopPropagation();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    ask("check");
  });
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT" || event.isComposing) return;
    event.preventDefault();
    ask("check");
  });

  // What was typed goes out with the press itself, so that no press can overtake the typing.
  function typed() {
    const answers = {};
    const setups = {};
    for (const [name, field] of Object.entries(fields)) {
      answers[name] = field.radios
        ? (field.radios.find((radio) => radio.checked) || { value: "" }).value
        : field.input.value;
      if (field.setup) setups[name] = field.setup.value;
    }
    return { answers, setups };
  }

  function ask(what, more) {
    fresh = what === "next";
    send({ ask: what, ...typed(), ...more });
  }

  function send(content) {
    clearTimeout(waiting);
    waiting = setTimeout(silent, PATIENCE);
    if (dead) return silent();
    model.send({ problem: model.get("problem").number, ...content });
  }

  function silent() {
    clearTimeout(waiting);
    notice.textContent = SILENT;
    announced.textContent = SILENT;
  }

  // A live box has its connection before it is shown; what changes later is its end.
  function ended() {
    dead = true;
    silent();
  }

  function answered() {
    clearTimeout(waiting);
    notice.textContent = "";
  }

  function say(text) {
    // The same words said twice are announced twice.
    announced.textContent = announced.textContent === text ? `${text}\u00a0` : text;
  }

  function show_problem() {
    answered();
    const problem = model.get("problem");
    stem.replaceChildren(made("h3", "", problem.title ? `Problem ${problem.number}: ${problem.title}` : "Practice"));
    stem.append(...paragraphs(problem.stem));
    drawings.innerHTML = (problem.drawings || []).join("");
    root.classList.toggle("drawn", drawings.childElementCount > 0);
    if (problem.caution) stem.append(made("p", "caution", problem.caution));
    fields = {};
    form.replaceChildren(...(problem.parts || []).map((part, place) => part_of(part, `${id}-${place}`)));
    worked.replaceChildren();
    progress.textContent = problem.progress || "";
    notice.textContent = problem.notice || "";
    check.classList.add("strong");
    next.classList.remove("strong");
    if (fresh) {
      fresh = false;
      say(`Problem ${problem.number}. ${(problem.stem || []).join(" ")}`);
      const first = first_field();
      root.scrollIntoView({ block: "start" });
      first?.focus();
    }
  }

  function first_field() {
    const [field] = Object.values(fields);
    return field && (field.radios ? field.radios[0] : field.input);
  }

  function part_of(part, key) {
    const several = part.choices.length > 0;
    const box = made(several ? "fieldset" : "div", "part");
    const field = { verdict: made("div", "verdict"), shown: made("div", "mathematics"), hint: made("div", "hint") };
    field.verdict.id = `${key}-verdict`;
    const left = made("div", "asking");
    const right = made("div", "telling");
    const question = made(several ? "legend" : "label", "question", part.asked);
    if (part.rule) question.append(made("span", "rule", part.rule));
    const entry = made("div", "entry");
    if (several) {
      box.setAttribute("aria-describedby", field.verdict.id);
      field.radios = part.choices.map((choice) => {
        const label = made("label", "choice");
        const radio = made("input");
        Object.assign(radio, { type: "radio", name: key, value: choice });
        label.append(radio, made("span", "", choice));
        left.append(label);
        return radio;
      });
    } else {
      field.input = text_field(`${key}-answer`, part.example);
      field.input.setAttribute("aria-describedby", field.verdict.id);
      question.htmlFor = field.input.id;
      entry.append(field.input);
      if (part.kind === "setup") field.input.addEventListener("input", () => show_soon(part.name, field, field.input));
    }
    const hint = button("Hint", () => ask("hint", { part: part.name }));
    hint.setAttribute("aria-label", `Hint: ${part.asked}`);
    entry.append(hint);
    left.append(entry);
    if (part.kind === "setup") left.append(field.shown);
    if (part.setup) left.append(setup_of(part, field, key), field.shown);
    right.append(field.verdict, field.hint);
    box.append(question, left, right);
    fields[part.name] = field;
    return box;
  }

  function setup_of(part, field, key) {
    const line = made("div", "entry for-setup");
    const label = made("label", "", "Set-up (optional)");
    field.setup = text_field(`${key}-setup`, "such as 1000 mL / 8 h");
    field.setup.setAttribute("aria-label", `Set-up (optional): ${part.asked}`);
    label.htmlFor = field.setup.id;
    field.setup.addEventListener("input", () => show_soon(part.name, field, field.setup));
    line.append(label, field.setup);
    return line;
  }

  function text_field(key, placeholder) {
    const input = made("input");
    Object.assign(input, { type: "text", id: key, placeholder, autocomplete: "off", spellcheck: false });
    input.setAttribute("autocapitalize", "off");
    return input;
  }

  function show_soon(name, field, input) {
    clearTimeout(field.resting);
    field.resting = setTimeout(() => {
      if (dead) return;
      model.send({
        ask: "setup", problem: model.get("problem").number, part: name, text: input.value, answers: typed().answers,
      });
    }, AFTER_TYPING);
  }

  function show_setup(field, tree) {
    field.shown.replaceChildren(...(tree ? [mathematics(tree)] : []));
  }

  function show_told() {
    const told = model.get("told");
    if (!told.what || told.problem !== model.get("problem").number) return;
    answered();
    notice.textContent = told.notice || "";
    if (told.what === "failed") {
      notice.textContent = told.sentence;
      say(told.sentence);
    }
    if (told.what === "check") show_check(told);
    if (told.what === "hint") show_hint(told);
    if (told.what === "worked") show_worked(told);
    if (told.progress !== undefined) progress.textContent = told.progress;
  }

  function show_check(told) {
    let wanted = null;
    for (const [name, part] of Object.entries(told.parts)) {
      const field = fields[name];
      if (!field) continue;
      field.verdict.className = `verdict ${part.state}`;
      field.verdict.replaceChildren(
        made("p", "mark", part.mark),
        ...(part.read ? [made("p", "read", `Read as: ${part.read}`)] : []),
        ...paragraphs(part.lines),
        ...paragraphs((part.setup ? part.setup.lines : []).map((line) => `Set-up: ${line}`)),
      );
      if (part.setup) show_setup(field, part.setup.tree);
      if (!wanted && part.state !== "right") wanted = field.verdict;
      if (part.state === "right") field.hint.replaceChildren();
    }
    say(told.said);
    check.classList.toggle("strong", !told.solved);
    next.classList.toggle("strong", told.solved);
    if (told.solved && root.contains(document.activeElement)) next.focus({ preventScroll: true });
    (wanted || Object.values(fields)[0]?.verdict)?.scrollIntoView({ block: "nearest" });
  }

  function show_hint(told) {
    const field = fields[told.part];
    if (!field) return;
    field.hint.replaceChildren(made("p", "mark", `Hint ${told.rung} of ${told.of}`), ...paragraphs(told.lines));
    say(`Hint ${told.rung} of ${told.of}. ${told.lines.join(" ")}`);
    field.hint.scrollIntoView({ block: "nearest" });
  }

  function show_worked(told) {
    worked.replaceChildren(made("h3", "", "Worked solution"));
    for (const part of told.parts) {
      if (part.asked) worked.append(made("p", "question", part.asked));
      worked.append(...paragraphs(part.lines));
    }
    say(`Worked solution. ${told.parts.map((part) => part.lines.join(" ")).join(" ")}`);
    worked.scrollIntoView({ block: "nearest" });
  }

  function receive(content) {
    if (content.told !== "setup" || content.problem !== model.get("problem").number) return;
    const field = fields[content.part];
    if (field) show_setup(field, content.tree);
  }

  function restore() {
    const told = model.get("told");
    for (const [name, text] of Object.entries(told.answers || {})) {
      const field = fields[name];
      if (field?.input) field.input.value = text;
      for (const radio of field?.radios || []) radio.checked = radio.value === text;
    }
    for (const [name, text] of Object.entries(told.setups || {})) {
      if (fields[name]?.setup) fields[name].setup.value = text;
    }
    if (told.what) show_told();
    announced.textContent = "";
  }

  show_problem();
  restore();
  model.on("change:problem", show_problem);
  model.on("change:told", show_told);
  model.on("msg:custom", receive);
  model.on("comm_live_update", ended);
  return () => {
    clearTimeout(waiting);
    model.off("change:problem", show_problem);
    model.off("change:told", show_told);
    model.off("msg:custom", receive);
    model.off("comm_live_update", ended);
  };
}

export default { render };
