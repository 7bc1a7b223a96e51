// Moves the shapes of a scene to a place of the stroke. All places are worked out beforehand.
function moveScene(root, moving, place) {
  for (const [name, places] of Object.entries(moving.shapes)) {
    const shape = root.querySelector('[data-shape="' + name + '"]');
    const at = places[place];
    if (!shape || at === undefined) continue;
    if (shape.tagName === "circle") {
      const [x, y] = at.split(",");
      shape.setAttribute("cx", x);
      shape.setAttribute("cy", y);
    } else {
      shape.setAttribute("points", at);
    }
  }
}
