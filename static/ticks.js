// A step that is ticked is saved at once; without this script every button of the page saves the ticks.

const form = document.getElementById("ticks");
let queue = Promise.resolve();

async function save(box) {
  const words = new FormData();
  words.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  words.append("at_once", "1");
  words.append("shown", box.value);
  if (box.checked) words.append("done", box.value);
  const answer = await fetch(form.action, { method: "POST", body: words, keepalive: true });
  if (!answer.ok) return;
  const counts = await answer.json();
  for (const place of document.querySelectorAll("[data-count]")) {
    place.textContent = counts[place.dataset.count];
  }
}

if (form) {
  form.addEventListener("change", (event) => {
    const box = event.target;
    // Where it cannot be saved now, it goes along with the next button.
    if (box.name === "done") queue = queue.then(() => save(box)).catch(() => {});
  });
}
