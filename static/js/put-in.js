// Words beside an answer go in where the cursor stands. Without this module the form is sent and comes back with them.

const form = document.getElementById("answer-form");
const text = form.elements.namedItem("text");
const cursor = form.elements.namedItem("cursor");
let place = text.value.length;

for (const name of ["select", "keyup", "pointerup", "input", "blur"]) {
  text.addEventListener(name, () => {
    place = text.selectionStart;
  });
}

function putIn(words) {
  const before = text.value.slice(0, place);
  const after = text.value.slice(place);
  const lead = before && !/\s$/.test(before) ? " " : "";
  const trail = after && !/^[\s.,;:!?]/.test(after) ? " " : "";
  text.focus();
  text.setSelectionRange(place, place);
  text.setRangeText(`${lead}${words}${trail}`, place, place, "end");
  text.dispatchEvent(new Event("input", { bubbles: true }));
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-words]");
  if (!button || button.form !== form) return;
  event.preventDefault();
  putIn(button.dataset.words);
});

// What the server is to put in itself goes to the same place.
form.addEventListener("submit", () => {
  cursor.value = String(place);
});
