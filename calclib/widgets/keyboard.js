// Keys pressed in a control must not reach the notebook's shortcuts: typing "d d" on a slider would delete its cell.
// Tab and Escape still pass, so that nobody is caught in the control.
function render({ el }) {
  el.style.display = "none";
  const stop = (event) => {
    if (event.key !== "Tab" && event.key !== "Escape") event.stopPropagation();
  };
  let root = null;
  const attach = () => {
    root = el.closest(".calclib-controls");
    if (!root) return;
    root.setAttribute("data-lm-suppress-shortcuts", "true");
    root.addEventListener("keydown", stop);
    name(root);
    observer.observe(root, { childList: true, subtree: true });
  };
  // Handles of sliders carry the name of their control, for screen readers.
  const name = (within) => {
    for (const handle of within.querySelectorAll('.noUi-handle:not([aria-label])')) {
      const label = handle.closest(".widget-inline-hbox")?.querySelector(".widget-label");
      if (label?.textContent) handle.setAttribute("aria-label", label.textContent);
    }
  };
  const observer = new MutationObserver(() => name(root));
  const frame = requestAnimationFrame(attach);
  return () => {
    cancelAnimationFrame(frame);
    observer.disconnect();
    root?.removeEventListener("keydown", stop);
  };
}
export default { render };
