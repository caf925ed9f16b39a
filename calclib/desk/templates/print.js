// Without it the page is printed from the browser's menu.
const button = document.getElementById("print");
button.addEventListener("click", () => print());
button.hidden = false;
