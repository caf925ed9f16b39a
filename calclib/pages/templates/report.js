// Puts the table of skills in another order. Without it the page is whole, in the order of need.
const orders = document.getElementById("orders");
const body = document.querySelector("#map tbody");

function ordered(by) {
  const rows = [...body.rows].sort((one, other) => one.dataset[by] - other.dataset[by]);
  body.append(...rows);
  for (const button of orders.querySelectorAll("button")) {
    button.setAttribute("aria-pressed", String(button.dataset.by === by));
  }
}

// What an address names is unfolded, with what it lies in.
function named() {
  const place = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const fold = place?.closest("details");
  if (!fold) return;
  fold.open = true;
  place.scrollIntoView();
}

if (orders && body) {
  for (const button of orders.querySelectorAll("button")) {
    button.addEventListener("click", () => ordered(button.dataset.by));
  }
  orders.hidden = false;
}
addEventListener("hashchange", named);
addEventListener("beforeprint", () => { for (const fold of document.querySelectorAll("details")) fold.open = true; });
named();
