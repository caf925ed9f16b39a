// The practice box on the page, with `devices` before it (devices/scripts.py). It shows what it is sent and sends what was typed; it judges nothing.
// All text goes in as text; only drawings, which the library makes itself, are set as markup.

const MATHEMATICS = "http://www.w3.org/1998/Math/MathML";
const PATIENCE = 4000; // milliseconds before a press that nobody answers is spoken of
const AFTER_TYPING = 250; // milliseconds of rest before a set-up is shown
const AFTER_MOVING = 100; // milliseconds of rest before a device is sent
const SET_BY_HAND = ["mark", "touched", "chosen", "typed", "said_by_hand"];
const SILENT =
  "Jupyter doesn't answer. Press Run, then Run All Cells, in the menu at the top; your practice so far is kept.";
const OFFERS = {
  form: "Enter the three side by side, and see whether they agree",
  any: "Set it by hand instead of typing",
};
const RUN = "See what this number would do";

let boxes = 0;

// A number and its unit stay on one line.
const UNITS = /(\d) (?=(?:mg|mcg|g|kg|lb|mL|L|h|min|s|units?|gtt|mEq|mm|cm|in|oz|tablets?|capsules?)(?![A-Za-z]))/g;

function made(tag, className, text) {
  const node = document.createElement(tag);
  if (className) node.className = className;
  if (text !== undefined) node.textContent = String(text).replace(UNITS, "$1\u00a0");
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
  const rule = made("p", "standing", model.get("rule"));
  const stem = made("div", "stem");
  const work = made("div", "work");
  const drawings = made("div", "drawings");
  const place = made("div", "by-hand");
  const form = made("form", "parts");
  work.append(drawings, place, form);
  const notice = made("div", "notice");
  const worked = made("div", "worked");
  const progress = made("p", "standing");
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
  let hand = null; // the problem's device: its state, its parts, and how it is taken down
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
    const parts = Object.keys(fields).filter((name) => fields[name].set);
    return { answers, setups, ...(hand && { hand: { state: hand.sent(), parts } }) };
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
    root.classList.toggle("device", Boolean(problem.hands?.drawn));
    if (problem.caution) stem.append(made("p", "caution", problem.caution));
    fields = {};
    form.replaceChildren(...(problem.parts || []).map((part, place) => part_of(part, `${id}-${place}`)));
    show_device(problem.hands);
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

  // A device is shown by its own script, on a model of a few lines. What it sets is the answer of its parts, unless
  // something is typed there afterward.
  function show_device(shown) {
    hand?.end();
    hand = null;
    place.replaceChildren();
    if (!shown) return;
    const state = structuredClone(shown.state);
    const heard = new Map();
    let moving = 0;
    const tell = (name) => (heard.get(`change:${name}`) || []).forEach((action) => action());
    const own = {
      get: (name) => state[name],
      set: (name, value) => { state[name] = value; tell(name); },
      on: (name, action) => heard.set(name, [...(heard.get(name) || []), action]),
      off: (name, action) => heard.set(name, (heard.get(name) || []).filter((one) => one !== action)),
      save_changes: () => {
        take_over();
        clearTimeout(moving);
        moving = setTimeout(send_state, AFTER_MOVING);
      },
    };
    const sent = () => Object.fromEntries(SET_BY_HAND.filter((name) => name in state).map((name) => [name, state[name]]));
    const send_state = () => !dead && model.send({ ask: "set", problem: model.get("problem").number, state: sent() });
    const take_over = () => {
      for (const name of shown.parts) {
        const field = fields[name];
        if (!field) continue;
        if (shown.fields[name]) field.input.value = state.typed[shown.fields[name]] || "";
        else if (field.radios) for (const radio of field.radios) radio.checked = radio.value === state.said_by_hand;
        else show_set(field, state.said_by_hand);
      }
    };
    const inside = shown.drawn ? place : place.appendChild(made("details", "optional"));
    if (!shown.drawn) inside.append(made("summary", "", OFFERS[shown.script] || OFFERS.any));
    const end = devices[shown.script]({ model: own, el: inside.appendChild(made("div")), say });
    hand = {
      sent,
      end: () => { clearTimeout(moving); end?.(); },
      receive: (follows) => { for (const [name, value] of Object.entries(follows)) own.set(name, value); },
    };
  }

  // A part that the device answers shows the words of what is set; its field comes back for whoever would rather type.
  function show_set(field, words) {
    field.set = true;
    field.input.hidden = true;
    field.byHand.hidden = false;
    field.byHand.firstChild.textContent = `Set by hand: ${words}`;
  }

  function type_instead(field) {
    field.set = false;
    field.input.hidden = false;
    field.byHand.hidden = true;
    field.input.focus();
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
      field.byHand = made("div", "set");
      field.byHand.hidden = true;
      const instead = button("Type instead", () => type_instead(field));
      instead.setAttribute("aria-label", `Type instead: ${part.asked}`);
      field.byHand.append(made("span", ""), instead);
      entry.append(field.input, field.byHand);
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
    field.setup = text_field(`${key}-setup`, "such as 1,000 mL / 8 h");
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
    if (told.what === "run") show_run(told);
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
      if (part.run) {
        const run = button(RUN, () => ask("run", { part: name }));
        run.setAttribute("aria-label", `${RUN}: ${asked_of(name)}`);
        field.verdict.append(run);
      }
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

  function asked_of(name) {
    return model.get("problem").parts.find((part) => part.name === name).asked;
  }

  // The words say all that the drawing shows; the caution is their last sentence.
  function show_run(told) {
    const field = fields[told.part];
    if (!field) return;
    field.run?.end();
    field.verdict.querySelector(".run")?.remove();
    const el = field.verdict.appendChild(made("div", "run"));
    const still = { get: (name) => told[name], on: () => {}, off: () => {} };
    field.run = { end: devices.compared({ model: still, el, say }) };
    el.scrollIntoView({ block: "nearest" });
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
    if (content.told === "set" && content.problem === model.get("problem").number) hand?.receive(content.state);
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
    if (told.hand && hand) {
      const shown = model.get("problem").hands;
      show_device({ ...shown, state: { ...shown.state, ...told.hand.state } });
      for (const name of told.hand.parts) if (fields[name]) show_set(fields[name], told.hand.state.said_by_hand);
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
    hand?.end();
    model.off("change:problem", show_problem);
    model.off("change:told", show_told);
    model.off("msg:custom", receive);
    model.off("comm_live_update", ended);
  };
}

export default { render };
