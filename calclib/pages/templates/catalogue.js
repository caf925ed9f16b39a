// Narrows the list to what is looked for. Without it the page is whole: everything is there, folded.
const form = document.getElementById("narrow");
const search = document.getElementById("words");
const found = document.getElementById("found");
const unfold = document.getElementById("unfold");
const topics = [...document.querySelectorAll("details.topic")];
const models = [...document.querySelectorAll("details.model")];
const filters = [...form.querySelectorAll("select")];

// As Python finds models (items/searching.py): each word begins one; short words and numbers are whole ones.
const plain = (text) => text.toLowerCase().replace(/[^a-z0-9%]+/g, " ").trim();
const beginning = (word) => (word.length < 3 || /^[0-9]+$/.test(word) ? ` ${word} ` : ` ${word}`);
const words = new Map(models.map((model) => [model, ` ${model.dataset.words} `]));
const own = (model, by) => (by === "topic" ? [model.closest(".topic").dataset.topic] : model.dataset[by].split("|"));

function narrow() {
  const wanted = plain(search.value).split(" ").filter(Boolean).map(beginning);
  const chosen = filters.filter((filter) => filter.value);
  const narrowed = wanted.length > 0 || chosen.length > 0;
  for (const model of models) {
    const fits = wanted.every((word) => words.get(model).includes(word))
      && chosen.every((filter) => own(model, filter.dataset.by).includes(filter.value));
    model.hidden = !fits;
  }
  let count = 0;
  for (const topic of topics) {
    const shown = topic.querySelectorAll("details.model:not([hidden])").length;
    count += shown;
    topic.hidden = !shown;
    topic.open = narrowed && shown > 0;
    topic.querySelector(".count").textContent = shown;
  }
  if (!narrowed) for (const model of models) model.open = false;
  found.textContent = (count ? found.dataset.some : found.dataset.none).replace("%1", count).replace("%2", models.length);
  pressed(false);
}

function pressed(yes) {
  unfold.setAttribute("aria-pressed", String(yes));
}

function unfolded() {
  const open = unfold.getAttribute("aria-pressed") !== "true";
  for (const one of [...topics, ...models]) if (!one.hidden) one.open = open;
  pressed(open);
}

// What an address names is unfolded, with what it lies in.
function named() {
  const place = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!place?.matches("details")) return;
  place.closest(".topic").open = true;
  place.open = true;
  place.scrollIntoView();
}

let resting = 0;
function soon() {
  clearTimeout(resting);
  resting = setTimeout(narrow, 150);
}

form.addEventListener("submit", (event) => { event.preventDefault(); narrow(); });
form.addEventListener("reset", () => setTimeout(narrow));
search.addEventListener("input", soon);
for (const filter of filters) filter.addEventListener("change", narrow);
unfold.addEventListener("click", unfolded);
addEventListener("hashchange", named);
addEventListener("beforeprint", () => { for (const one of [...topics, ...models]) if (!one.hidden) one.open = true; });
form.hidden = false;
narrow();
named();
