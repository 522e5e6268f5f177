// A tap on a photo becomes a mark. Without this script the browser itself sends the place of the tap on a photo of
// fixed width; with it the photo is drawn large, and the place is sent as a share of it.
for (const photo of document.querySelectorAll("input[type=image][data-place]")) {
  photo.classList.add("large");
  photo.parentElement.classList.add("large");
  photo.addEventListener("click", (event) => {
    const byKeyboard = event.detail === 0;
    const box = photo.getBoundingClientRect();
    const share = (at, from, length) => (byKeyboard ? "" : ((100 * (at - from)) / length).toFixed(1));
    photo.form.elements.share_x.value = share(event.clientX, box.left, box.width);
    photo.form.elements.share_y.value = share(event.clientY, box.top, box.height);
  });
}
