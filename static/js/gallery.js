// The photographs full-screen: moved through by keys, buttons and swipes; looked into by wheel, pinch, double tap, + and -.
// Without this module each picture is a link to its largest print.
const dialog = document.querySelector(".gallery");
const [stage, caption, count] = ["stage", "caption", "count"].map((name) => dialog.querySelector(`.gallery-${name}`));
const first = dialog.querySelector("button");
const plates = [...document.querySelectorAll("figure[id^=picture-]")];
const details = new Map();
const fingers = new Map();
const TAP = 10; // pixels that a finger may slip
const SWIPE = 50;
const STEP = 80;
let here = 0;
let opener, image, grip, pinched;
let lastTap = 0;
let [scale, x, y] = [1, 0, 0];

function show(place) {
  here = (place + plates.length) % plates.length;
  const copy = plates[here].querySelector("picture").cloneNode(true);
  image = copy.querySelector("img");
  image.loading = "eager";
  image.draggable = false;
  sized(copy, "100vw");
  stage.replaceChildren(copy);
  const words = plates[here].querySelector("figcaption")?.cloneNode(true).childNodes ?? [];
  if (caption.contains(document.activeElement)) first.focus();
  caption.replaceChildren(...words);
  count.textContent = `${here + 1} ${count.dataset.of} ${plates.length}`;
  [scale, x, y] = [1, 0, 0];
  draw();
}

function sized(copy, width) {
  for (const part of copy.children) part.sizes = width;
}

// The size at which the whole picture fits the stage.
function fitted() {
  const [width, height] = ["width", "height"].map((side) => Number(image.getAttribute(side)));
  const fit = Math.min(stage.clientWidth / width, stage.clientHeight / height);
  return [width * fit, height * fit];
}

function draw() {
  const [width, height] = fitted();
  const held = (at, size, room) => {
    const most = Math.max((size * scale - room) / 2, 0);
    return Math.min(Math.max(at, -most), most);
  };
  x = held(x, width, stage.clientWidth);
  y = held(y, height, stage.clientHeight);
  image.style.transform = `translate(${x}px, ${y}px) scale(${scale})`;
}

// `at` stays where it is; it is measured from the middle of the stage.
function zoom(wanted, at = [0, 0], to = at) {
  const { dataset, href } = plates[here].querySelector("a");
  const finest = dataset.detail ? 3200 : parseInt(href.split("/").pop(), 10);
  const next = Math.min(Math.max(wanted, 1), Math.max(finest / fitted()[0], 2));
  x = to[0] - ((at[0] - x) * next) / scale;
  y = to[1] - ((at[1] - y) * next) / scale;
  scale = next;
  draw();
  if (scale > 1) lookCloser(image);
}

async function lookCloser(mine) {
  const address = plates[here].querySelector("a").dataset.detail;
  sized(mine.parentNode, "1600px");
  if (!address || mine.dataset.asked) return;
  mine.dataset.asked = "yes";
  stage.ariaBusy = true;
  if (!details.has(address)) details.set(address, whenMade(address).catch(() => details.delete(address) && false));
  const made = await details.get(address);
  if (image === mine) stage.ariaBusy = false;
  if (!made) return;
  mine.parentNode.replaceChildren(mine);
  mine.removeAttribute("srcset");
  mine.src = address;
}

// The shop makes it when it is first asked for; until then it answers 202.
async function whenMade(address) {
  for (let tries = 0; tries < 60; tries += 1) {
    const { status } = await fetch(address, { method: "HEAD" });
    if (status === 200) {
      const print = new Image();
      print.src = address;
      await print.decode();
      return true;
    }
    if (status !== 202) return false;
    await new Promise((over) => { setTimeout(over, 1000); });
  }
  return false;
}

function pan(right, down) {
  const before = [x, y];
  x -= right * STEP;
  y -= down * STEP;
  draw();
  return x !== before[0] || y !== before[1];
}

// An enlarged picture is moved about first; at its edge the next one comes.
function step(way) {
  if (scale === 1 || !pan(way, 0)) show(here + way);
}

const deeds = {
  close: () => dialog.close(),
  back: () => show(here - 1),
  on: () => show(here + 1),
  enlarge: () => zoom(scale * 1.5),
  reduce: () => zoom(scale / 1.5),
};
const keys = {
  ArrowLeft: () => step(-1),
  ArrowRight: () => step(1),
  ArrowUp: () => pan(0, -1),
  ArrowDown: () => pan(0, 1),
  "+": deeds.enlarge,
  "=": deeds.enlarge,
  "-": deeds.reduce,
  0: () => zoom(1),
};

const at = (event) => {
  const room = stage.getBoundingClientRect();
  return [event.clientX - room.left - room.width / 2, event.clientY - room.top - room.height / 2];
};

function middleAndSpread() {
  const [[ax, ay], [bx, by] = [ax, ay]] = [...fingers.values()];
  return [[(ax + bx) / 2, (ay + by) / 2], Math.hypot(ax - bx, ay - by)];
}

function grasp() {
  const [middle, spread] = middleAndSpread();
  grip = { middle, spread, scale, x, y };
}

stage.addEventListener("pointerdown", (event) => {
  if (event.button) return;
  stage.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, at(event));
  pinched = fingers.size > 1;
  grasp();
});

stage.addEventListener("pointermove", (event) => {
  if (!fingers.has(event.pointerId)) return;
  fingers.set(event.pointerId, at(event));
  const [middle, spread] = middleAndSpread();
  const [right, down] = [middle[0] - grip.middle[0], middle[1] - grip.middle[1]];
  if (fingers.size > 1) {
    ({ scale, x, y } = grip);
    zoom((scale * spread) / grip.spread, grip.middle, middle);
  } else if (scale > 1) {
    [x, y] = [grip.x + right, grip.y + down];
    draw();
  } else if (!pinched) image.style.transform = `translateX(${right}px)`;
});

function letGo(event) {
  if (!fingers.delete(event.pointerId)) return;
  if (fingers.size) { grasp(); return; }
  const [to, from] = [at(event), grip.middle];
  const [right, down] = [to[0] - from[0], to[1] - from[1]];
  const slipped = Math.hypot(right, down);
  draw();
  if (pinched || event.type === "pointercancel") return;
  if (slipped < TAP) tapped(event, to);
  else if (scale === 1 && Math.abs(right) > Math.max(SWIPE, Math.abs(down))) show(here - Math.sign(right));
}

function tapped(event, to) {
  const twice = event.timeStamp - lastTap < 350;
  lastTap = twice ? 0 : event.timeStamp;
  if (twice) zoom(scale > 1 ? 1 : 2.5, to);
}

stage.addEventListener("pointerup", letGo);
stage.addEventListener("pointercancel", letGo);
stage.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoom(scale * 2 ** (-event.deltaY / 300), at(event));
}, { passive: false });
window.addEventListener("resize", () => { if (dialog.open) draw(); });

dialog.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || !keys[event.key]) return;
  event.preventDefault();
  keys[event.key]();
});
dialog.addEventListener("click", (event) => {
  deeds[event.target.closest("button")?.value]?.();
  if (event.target.closest("a")) dialog.close();
});
dialog.addEventListener("close", () => opener.focus());

document.addEventListener("click", (event) => {
  const link = event.target.closest("figure[id^=picture-] > a, a[href^='#picture-']");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const plate = link.closest("figure[id^=picture-]") ?? document.querySelector(link.hash);
  event.preventDefault();
  opener = link;
  dialog.showModal();
  first.focus();
  show(plates.indexOf(plate));
});
