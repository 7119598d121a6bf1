// One key a part. Without this module the rows are a plain form; nothing is kept before it is saved.

const form = document.getElementById("parts");
const rows = [...form.querySelectorAll(".part-row")];
const legend = document.getElementById("parts-keys");
const count = document.getElementById("parts-count");
const said = document.getElementById("parts-said");
const save = document.getElementById("parts-save");
const keys = new Map([...legend.querySelectorAll("[data-key]")].map((item) => [item.dataset.key, item.dataset]));
let current = rows[0];
let changed = false;

const field = (row, name) => row.querySelector(`[name$="-${name}"]`);
const chosen = (select) => select.selectedOptions[0]?.textContent ?? "";
const nameOf = (row) => row.querySelector("legend").firstChild.textContent;

function inWords(row) {
  const seen = field(row, "seen");
  const state = chosen(field(row, "state"));
  return seen.value ? `${state}, ${chosen(seen).toLowerCase()}` : state;
}

function show(row) {
  row.dataset.state = field(row, "state").value;
  row.querySelector(".part-said").textContent = `: ${inWords(row)}`;
}

function showCount() {
  const fitted = rows.filter((row) => row.dataset.state !== "never-fitted");
  const examined = fitted.filter((row) => row.dataset.state !== "not-examined");
  count.textContent = `${examined.length} of ${fitted.length}`;
}

function makeCurrent(row) {
  current.tabIndex = -1;
  current = row;
  current.tabIndex = 0;
}

function goTo(row, options) {
  makeCurrent(row);
  row.focus(options);
}

// What a key says was seen is taken back by the next key; what somebody chose stays.
function setState(row, key) {
  const seen = field(row, "seen");
  const known = seen.value || field(row, "evidence").value.trim();
  field(row, "state").value = key.state;
  if ("claims" in key) {
    if (!known) {
      seen.value = "eye";
      row.dataset.byKey = "";
    }
  } else if ("byKey" in row.dataset) {
    seen.value = "";
    delete row.dataset.byKey;
  }
  changed = true;
  show(row);
  showCount();
  said.textContent = `${nameOf(row)}: ${inWords(row).toLowerCase()}`;
}

function onRow(event, row) {
  const place = rows.indexOf(row);
  const key = keys.get(event.key.toLowerCase());
  if (key) {
    // A key held down says one thing about one part.
    if (!event.repeat) {
      setState(row, key);
      if (rows[place + 1]) goTo(rows[place + 1]);
      else save.focus();
    }
  } else if (event.key === "ArrowDown") goTo(rows[place + 1] ?? row);
  else if (event.key === "ArrowUp") goTo(rows[place - 1] ?? row);
  else if (event.key === "Home") goTo(rows[0]);
  else if (event.key === "End") goTo(rows.at(-1));
  else if (event.key === "Enter") field(row, "state").focus();
  else return;
  event.preventDefault();
}

form.addEventListener("keydown", (event) => {
  const row = event.target.closest(".part-row");
  if (!row || event.altKey || event.ctrlKey || event.metaKey || event.isComposing) return;
  if (event.target === row) onRow(event, row);
  else if (event.key === "Escape") goTo(row);
});

document.addEventListener("keydown", (event) => {
  if (event.key.toLowerCase() !== "s" || event.altKey || event.shiftKey || !(event.ctrlKey || event.metaKey)) return;
  event.preventDefault();
  form.requestSubmit(save);
});

form.addEventListener("focusin", (event) => {
  const row = event.target.closest(".part-row");
  if (row && row !== current) makeCurrent(row);
});

form.addEventListener("input", (event) => {
  const row = event.target.closest(".part-row");
  changed = true;
  if (!row) return;
  if (event.target === field(row, "seen")) delete row.dataset.byKey;
  show(row);
  showCount();
});

// What was typed is not lost by a careless step to another page.
form.addEventListener("submit", () => {
  changed = false;
});
window.addEventListener("beforeunload", (event) => {
  if (changed) event.preventDefault();
});

for (const row of rows) {
  row.tabIndex = -1;
  show(row);
}
showCount();
legend.hidden = false;
const wrong = rows.find((row) => row.classList.contains("row-wrong"));
const named = rows.find((row) => `#${row.id}` === window.location.hash);
makeCurrent(named ?? wrong ?? rows.find((row) => row.dataset.state === "not-examined") ?? rows[0]);
if (named) named.focus();
else if (!wrong && !window.location.hash) current.focus({ preventScroll: true });
