// A scanner types like a keyboard. This keeps its keys going into the scan field: after load, after a partial
// refresh, and when somebody has clicked on the bare page. It never takes the focus away from another field in
// use. What the field holds from the scan before is selected, so that the next scan takes its place.
const field = document.querySelector("input[data-scan]");

const inUse = (element) =>
  element && element.matches("input, textarea, select, [contenteditable], summary, button, a, .error-summary");

let isTypedIn = false; // since the page was shown

function ready() {
  if (document.activeElement !== field && inUse(document.activeElement)) return;
  field.focus({ preventScroll: true });
  if (!isTypedIn) field.select();
}

if (field) {
  field.addEventListener("input", () => (isTypedIn = true));
  ready();
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) isTypedIn = false;
    ready();
  });
  // The lists are drawn anew each minute: what somebody is typing meanwhile stays.
  document.body.addEventListener("htmx:afterSettle", () => {
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
