// Sends each chosen or dropped photograph by itself, two at a time, and says for each what became of it.
// Without this module the form sends all files in one go; the answers then stand above the page.

const AT_ONCE = 2;
const form = document.getElementById("drop");
const input = document.getElementById("id_files");
const list = document.getElementById("uploads");
const prints = document.getElementById("prints");
const waiting = [];
let going = 0;
let taken = 0;
let together = false;

function line(file) {
  const item = document.createElement("li");
  const name = document.createElement("span");
  const progress = document.createElement("progress");
  const word = document.createElement("span");
  item.className = "upload upload-going";
  name.className = "upload-name";
  name.textContent = file.name;
  progress.max = 100;
  progress.value = 0;
  progress.setAttribute("aria-label", file.name);
  word.className = "upload-word";
  word.textContent = "Waiting";
  item.append(name, progress, word);
  list.append(item);
  return { item, progress, word };
}

function settle(shown, kept, says) {
  shown.item.className = `upload ${kept ? "upload-done" : "upload-refused"}`;
  shown.word.textContent = kept ? "Kept" : says;
  if (kept) shown.progress.value = 100;
  else shown.progress.remove();
}

// Each is shown in the order of the choosing, whichever was answered first.
function showPrint(html, place) {
  const holder = document.createElement("template");
  holder.innerHTML = html.trim();
  const item = holder.content.firstElementChild;
  if (!item) return;
  item.dataset.place = place;
  const later = [...prints.children].find((other) => Number(other.dataset.place ?? -1) > place);
  prints.insertBefore(item, later ?? null);
  window.htmx?.process(item);
}

// Of two that were on their way together the later may have been kept first, and been answered last: so the order of
// the choosing is sent after them, whatever came back when.
function keepOrderWhenDone() {
  if (!together || going || waiting.length) return;
  together = false;
  prints.dispatchEvent(new CustomEvent("order-changed"));
}

function answered(request, shown, file, place) {
  const answer = request.status === 200 ? request.response?.files?.[0] : null;
  if (!answer) {
    const why = request.status === 403 || request.responseURL.includes("/log-in/")
      ? "you are no longer logged in. Log in again, then send it again."
      : "the shop did not answer. Send it again.";
    settle(shown, false, `${file.name} was not kept: ${why}`);
    return;
  }
  settle(shown, answer.kept, answer.says);
  if (answer.print) showPrint(answer.print, place);
}

function send({ file, shown, place }) {
  const body = new FormData();
  body.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  body.append("files", file, file.name);
  const request = new XMLHttpRequest();
  request.open("POST", form.action);
  request.setRequestHeader("Accept", "application/json");
  request.responseType = "json";
  request.upload.addEventListener("progress", (event) => {
    if (event.lengthComputable) shown.progress.value = (100 * event.loaded) / event.total;
  });
  request.addEventListener("load", () => answered(request, shown, file, place));
  request.addEventListener("error", () => settle(shown, false, `${file.name} was not kept: the connection broke. Send it again.`));
  request.addEventListener("loadend", () => { going -= 1; next(); keepOrderWhenDone(); });
  shown.word.textContent = "Sending";
  going += 1;
  if (going > 1) together = true;
  request.send(body);
}

function next() {
  while (going < AT_ONCE && waiting.length) send(waiting.shift());
}

function take(files) {
  for (const file of files) waiting.push({ file, shown: line(file), place: taken++ });
  next();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  take(input.files);
  form.reset();
});
input.addEventListener("change", () => {
  take(input.files);
  form.reset();
});
for (const name of ["dragenter", "dragover"]) {
  form.addEventListener(name, (event) => { event.preventDefault(); form.classList.add("drop-over"); });
}
for (const name of ["dragleave", "drop"]) {
  form.addEventListener(name, () => form.classList.remove("drop-over"));
}
form.addEventListener("drop", (event) => { event.preventDefault(); take(event.dataTransfer.files); });
// A file let go beside the field would replace the page, and with it what is still being sent.
for (const name of ["dragover", "drop"]) window.addEventListener(name, (event) => event.preventDefault());
window.addEventListener("beforeunload", (event) => { if (going || waiting.length) event.preventDefault(); });
