// Sends chosen photos one by one, made smaller first, with words and a progress bar for each; retry and leave out.
// Without this script the same form sends the same photos. The answer of the server is the page itself: the saved
// photos are taken from it, so there is only one way of doing things on the other side.
const LONGEST_PX = 2000;
const QUALITY = 0.85;
const SMALL_ENOUGH_BYTES = 700_000;

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
      const refusal = page && page.querySelector(".error, .error-summary li");
      if (request.status >= 400 || refusal) failed(new Error(refusal ? refusal.textContent.trim() : ""));
      else done(page);
    });
    for (const trouble of ["error", "timeout", "abort"]) request.addEventListener(trouble, () => failed(new Error("")));
    request.send(body);
  });
}

// Takes the saved photos out of the server's page; the focus stays where it is.
function refresh(id, page) {
  const now = document.getElementById(id);
  const next = page && page.getElementById(id);
  if (!now || !next) return window.location.reload();
  now.replaceWith(document.adoptNode(next));
}

function button(words, onClick) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "action-link";
  made.textContent = words;
  made.addEventListener("click", onClick);
  return made;
}

function improve(form) {
  const input = form.querySelector("input[type=file]");
  const words = form.dataset;
  const list = document.createElement("ul");
  list.className = "uploads";
  list.hidden = true;
  const spoken = document.createElement("p");
  spoken.className = "visually-hidden";
  spoken.setAttribute("role", "status");
  form.after(spoken, list);
  for (const plain of form.querySelectorAll("button")) plain.hidden = true;

  let queue = Promise.resolve(); // one at a time: a weak connection carries one photo better than five

  async function upload(file, row) {
    const said = row.querySelector("span");
    const bar = row.querySelector("progress");
    row.querySelectorAll("button").forEach((old) => old.remove());
    bar.hidden = false;
    try {
      said.textContent = `${file.name}: ${words.wordsSending}`;
      const body = new FormData(form);
      body.delete(input.name);
      const whole = form.querySelector("[name=full_size]:checked");
      body.append(input.name, whole ? file : await smaller(file));
      const page = await send(form.action, body, (share) => {
        bar.value = share;
        said.textContent = `${file.name}: ${words.wordsSending}, ${share} %`;
      });
      refresh(words.photos, page);
      if (document.getElementById("go-on")) refresh("go-on", page);
      spoken.textContent = `${file.name}: ${words.wordsSaved}`;
      row.remove();
    } catch (refusal) {
      bar.hidden = true;
      said.textContent = `${file.name}: ${refusal.message || words.wordsFailed}`;
      spoken.textContent = said.textContent;
      row.append(
        button(words.wordsRetry, () => (queue = queue.then(() => upload(file, row)))),
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

document.querySelectorAll("form[data-photos]").forEach(improve);
