// Sends chosen photos one by one, made smaller first, with words and a progress bar for each; retry and leave out.
// Without this script the same form sends the same photos. The answer of the server is the page itself: the saved
// photos are taken from it, so there is only one way of doing things on the other side.
const LONGEST_PX = 2000;
const QUALITY = 0.85;
const SMALL_ENOUGH_BYTES = 700_000;
const TOO_LARGE = "too-large"; // the server, or one in front of it, answered so without saying more

// A JPEG of at most LONGEST_PX, turned upright and without place or camera data; the file itself if that fails.
async function smaller(file) {
  if (!file.type.startsWith("image/") || file.size < SMALL_ENOUGH_BYTES) return file;
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    if (!blob || blob.size >= file.size) return file;
    return new File([blob], file.name.replace(/\.\w+$/, "") + ".jpg", { type: "image/jpeg" });
  } catch {
    return file; // a format this browser cannot read: the shop's side tries
  }
}

// Why a photo was not taken; after a refusal of the photo itself, the same photo would be refused again.
class NotSent extends Error {
  constructor(words, mayHelp) {
    super(words);
    this.mayHelp = mayHelp;
  }
}

function send(url, body, onProgress) {
  return new Promise((done, failed) => {
    const request = new XMLHttpRequest();
    request.open("POST", url);
    request.responseType = "document";
    request.timeout = 120_000;
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) onProgress(Math.round((event.loaded / event.total) * 100));
    });
    request.addEventListener("load", () => {
      const page = request.response;
      const refusal = page && page.querySelector("[data-refusal], .error, .error-summary li");
      const words = refusal ? refusal.textContent.trim() : "";
      const isTooLarge = request.status === 413;
      const isRefused = isTooLarge || request.status === 422;
      if (request.status >= 400) failed(new NotSent(words || (isTooLarge ? TOO_LARGE : ""), !isRefused));
      else if (refusal) failed(new NotSent(words, false));
      else done(page);
    });
    for (const trouble of ["error", "timeout", "abort"]) {
      request.addEventListener(trouble, () => failed(new NotSent("", true)));
    }
    request.send(body);
  });
}

// Takes the saved photos out of the server's page; the focus stays where it is.
function refresh(id, page) {
  const now = document.getElementById(id);
  const next = page && page.getElementById(id);
  if (!now || !next) return window.location.reload();
  const hadFocus = now.contains(document.activeElement);
  now.replaceWith(document.adoptNode(next));
  improveAll();
  const first = next.querySelector("[aria-current] input") || next.querySelector("[role=status], input, a, button");
  if (hadFocus) first?.focus();
}

function button(words, onClick) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "action-link";
  made.textContent = words;
  made.addEventListener("click", onClick);
  return made;
}

let queue = Promise.resolve(); // one at a time: a weak connection carries one photo better than five

// The progress of an upload stands behind the form, or, where the photos are part of a larger form, behind
// their list, which is refreshed while the rest of the form stays as it was typed.
function progressAfter(place) {
  if (place.nextElementSibling?.matches(".upload-progress")) return place.nextElementSibling;
  const holder = document.createElement("div");
  holder.className = "upload-progress";
  const spoken = document.createElement("p");
  spoken.className = "visually-hidden";
  spoken.setAttribute("role", "status");
  const list = document.createElement("ul");
  list.className = "uploads";
  list.hidden = true;
  holder.append(spoken, list);
  place.after(holder);
  return holder;
}

// What is sent with a photo: the whole form, or from within a larger form only what names the photo.
function bodyOf(box, form, input) {
  if (box === form) {
    const body = new FormData(form);
    body.delete(input.name);
    return [form.action, body, input.name];
  }
  const body = new FormData();
  body.append("csrfmiddlewaretoken", form.querySelector("[name=csrfmiddlewaretoken]").value);
  body.append("shot", box.dataset.shot);
  body.append("back_to", box.dataset.backTo);
  return [box.dataset.url, body, "photo"];
}

function improve(box) {
  const form = box.closest("form");
  const isPart = box !== form;
  const input = box.querySelector("input[type=file]");
  const words = box.dataset;
  const holder = progressAfter(isPart ? document.getElementById(words.photos) : form);
  const [spoken, list] = holder.children;
  box.dataset.improved = "";
  for (const plain of box.querySelectorAll("button")) plain.hidden = true;
  if (isPart) waitForPhotos(form);

  async function upload(file, row) {
    const said = row.querySelector("span");
    const bar = row.querySelector("progress");
    row.querySelectorAll("button").forEach((old) => old.remove());
    bar.hidden = false;
    try {
      said.textContent = `${file.name}: ${words.wordsSending}`;
      const [url, body, name] = bodyOf(box, form, input);
      const whole = form.querySelector("[name=full_size]:checked");
      body.append(name, whole ? file : await smaller(file));
      const page = await send(url, body, (share) => {
        bar.value = share;
        said.textContent = `${file.name}: ${words.wordsSending}, ${share} %`;
      });
      // A page without the list, such as the sign-in page, must not cost what was typed around it.
      if (isPart && !page?.getElementById(words.photos)) throw new NotSent("", true);
      refresh(words.photos, page);
      for (const id of ["go-on", "proof", "preparing", "taken-here"]) {
        if (document.getElementById(id) && page.getElementById(id)) refresh(id, page);
      }
      spoken.textContent = `${file.name}: ${words.wordsSaved}`;
      row.remove();
    } catch (refusal) {
      bar.hidden = true;
      const why = refusal.message === TOO_LARGE ? words.wordsLarge : refusal.message || words.wordsFailed;
      said.textContent = why.startsWith(file.name) ? why : `${file.name}: ${why}`;
      spoken.textContent = said.textContent;
      if (refusal.mayHelp !== false) {
        row.append(button(words.wordsRetry, () => (queue = queue.then(() => upload(file, row)))));
      }
      row.append(
        button(words.wordsDrop, () => {
          row.remove();
          list.hidden = !list.children.length;
          input.focus();
        }),
      );
    }
    list.hidden = !list.children.length;
  }

  input.addEventListener("change", () => {
    for (const file of input.files) {
      const row = document.createElement("li");
      const said = document.createElement("span");
      const bar = document.createElement("progress");
      said.textContent = `${file.name}: ${words.wordsWaiting}`;
      bar.max = 100;
      bar.value = 0;
      bar.setAttribute("aria-label", file.name);
      row.append(said, bar);
      list.append(row);
      queue = queue.then(() => upload(file, row));
    }
    list.hidden = !list.children.length;
    input.value = "";
  });
}

// A form that photos are part of is sent once they have arrived; one that did not arrive is never left behind.
function waitForPhotos(form) {
  if ("waits" in form.dataset) return;
  form.dataset.waits = "";
  form.addEventListener("submit", async (event) => {
    if (!form.querySelector(".uploads > li")) return;
    event.preventDefault();
    await queue;
    const left = form.querySelector(".uploads > li");
    if (!left) form.requestSubmit(event.submitter);
    else (left.querySelector("button") || left).focus();
  });
}

// Removing a saved photo goes the same way as its plain form, without leaving the page.
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-remove]");
  const grid = form && form.closest("[id]");
  if (!grid) return;
  event.preventDefault();
  try {
    const page = await send(form.action, new FormData(form), () => {});
    refresh(grid.id, page);
    if (document.getElementById("go-on")) refresh("go-on", page);
  } catch {
    form.submit();
  }
});

function improveAll() {
  document.querySelectorAll("[data-photos]:not([data-improved])").forEach(improve);
}

improveAll();
