// A field for the day of the exam, and two buttons: keep it, or have none.
function element(name, about = {}, ...inside) {
  const made = document.createElement(name);
  Object.assign(made, about);
  made.append(...inside);
  return made;
}

function render({ model, el }) {
  const words = model.get("words");
  const field = element("input", { type: "date", value: model.get("day") });
  const label = element("label", { className: "field" }, words.label, element("br"), field);
  const keep = element("button", { type: "button", className: "strong" }, words.keep);
  const none = element("button", { type: "button" }, words.none);
  const told = element("p", {}, model.get("told"));
  told.setAttribute("role", "status");
  const root = element("div", { className: "calclib-lesson" }, label, keep, none, told);
  // Keys belong to the field, not to the notebook's shortcuts.
  root.addEventListener("keydown", (event) => {
    if (!["Tab", "Escape", "F8"].includes(event.key)) event.stopPropagation();
  });
  keep.addEventListener("click", () => model.send({ day: field.value }));
  none.addEventListener("click", () => model.send({ day: "" }));
  const shown = () => {
    field.value = model.get("day");
    told.textContent = model.get("told");
  };
  model.on("change:day change:told", shown);
  el.append(root);
  return () => model.off("change:day change:told", shown);
}

export default { render };
