// A scanner types like a keyboard. This keeps its keys going into the scan field: after load, after a partial
// refresh, and when somebody has clicked on the bare page. It never takes the focus away from a field in use.
const field = document.querySelector("input[data-scan]");

const inUse = (element) =>
  element && element.matches("input, textarea, select, [contenteditable], summary, button, a, .error-summary");

function ready() {
  if (!field || inUse(document.activeElement)) return;
  field.focus({ preventScroll: true });
  field.select();
}

if (field) {
  ready();
  window.addEventListener("pageshow", ready);
  document.body.addEventListener("htmx:afterSettle", () => {
    field.value = "";
    if (!document.activeElement || document.activeElement === document.body) ready();
  });
  // A key on the bare page belongs to the scan field; taking the focus now lets this very key arrive there.
  document.addEventListener("keydown", (event) => {
    if (event.key.length !== 1 || event.key === " " || event.ctrlKey || event.metaKey || event.altKey) return;
    const active = document.activeElement;
    if (!active || active === document.body || active.id === "main") {
      field.focus({ preventScroll: true });
      field.select();
    }
  });
}
