// Puts the photographs in order by the mouse. Earlier and Later do the same by keyboard and without this module.

const list = document.getElementById("prints");
const form = document.getElementById("order");
let dragged = null;
let before = "";

const tokens = () => [...list.children].map((item) => item.dataset.token);

// Only the picture is a handle: a caption must stay selectable by the mouse.
list.addEventListener("pointerdown", (event) => {
  const item = event.target.closest(".print");
  if (item) item.draggable = Boolean(event.target.closest(".print-plate"));
});

list.addEventListener("dragstart", (event) => {
  dragged = event.target.closest(".print");
  if (!dragged) return;
  before = tokens().join();
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", dragged.dataset.token);
});

list.addEventListener("dragover", (event) => {
  const over = event.target.closest(".print");
  if (!dragged || !over) return;
  event.preventDefault();
  if (over === dragged) return;
  const place = over.getBoundingClientRect();
  const behind = event.clientX > place.left + place.width / 2;
  over[behind ? "after" : "before"](dragged);
});

async function keep() {
  const body = new FormData(form);
  for (const token of tokens()) body.append("order", token);
  const answer = await fetch(form.action, { method: "POST", body }).catch(() => null);
  // What stands on the page must be what is kept.
  if (!answer?.ok) window.location.reload();
}

list.addEventListener("dragend", () => {
  dragged = null;
  if (tokens().join() !== before) keep();
});
list.addEventListener("order-changed", keep);
