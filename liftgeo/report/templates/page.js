const slider = document.getElementById("slider");
const place = document.getElementById("place");
const said = document.getElementById("said");
function show() {
  const k = Number(place.value);
  moveScene(document, moving, k);
  for (const [name, marks] of Object.entries(moving.marks)) {
    const mark = document.querySelector('[data-mark="' + name + '"]');
    if (!mark) continue;
    mark.setAttribute("cx", marks[k][0]);
    mark.setAttribute("cy", marks[k][1]);
  }
  said.textContent = moving.said[k];
  place.setAttribute("aria-valuetext", moving.said[k]);
}
const openAll = document.getElementById("open-all");
openAll.hidden = false;
openAll.addEventListener("click", () => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
});
if (slider) {
  slider.hidden = false;
  place.addEventListener("input", show);
  show();
}
