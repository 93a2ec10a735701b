// Photographs of cloth: brought, and marked by clicking their corners or by typing them.
import { finding, send } from "/a/talk.js";

async function bring(form, file) {
  const told = form.querySelector(".told");
  told.textContent = told.dataset.busy;
  const { status, body } = await send(`${form.dataset.photograph}?${new URLSearchParams({ file: file.name })}`, file);
  if (status === 201) location.assign(`${body.href}&design=${encodeURIComponent(form.closest("[data-design]").dataset.design)}`);
  else told.replaceChildren(...(body.findings ?? []).map(finding));
}
document.addEventListener("change", (event) => {
  const form = event.target.closest?.("[data-photograph]");
  if (form && event.target.files?.[0]) bring(form, event.target.files[0]).finally(() => { event.target.value = ""; });
});
document.addEventListener("drop", (event) => {
  const form = event.target.closest?.("[data-photograph]");
  if (form && event.dataTransfer.files[0]) bring(form, event.dataTransfer.files[0]);
});

const read = (text) => text.trim().split(/\s+/).map((point) => point.split(",").map(Number)).filter((p) => p.length === 2 && p.every(Number.isFinite));
const write = (points) => points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");

// Left top first, then clockwise, in whatever order they were clicked.
function sorted(points) {
  const [cx, cy] = [0, 1].map((k) => points.reduce((sum, p) => sum + p[k], 0) / points.length);
  const round = [...points].sort((a, b) => Math.atan2(a[1] - cy, a[0] - cx) - Math.atan2(b[1] - cy, b[0] - cx));
  const first = round.reduce((best, p, at) => (p[0] + p[1] < round[best][0] + round[best][1] ? at : best), 0);
  return [...round.slice(first), ...round.slice(0, first)];
}

const MARKS = ["window", "grey", "target"];

// The marks, and the cross where the keys are.
function draw(form, cross) {
  const img = form.querySelector("img");
  const svg = form.querySelector("svg");
  if (!img.naturalWidth) return;
  svg.setAttribute("viewBox", `0 0 ${img.naturalWidth} ${img.naturalHeight}`);
  svg.querySelectorAll("circle").forEach((dot) => dot.remove());
  for (const which of MARKS) {
    const points = form.elements[which].disabled ? [] : read(form.elements[which].value);
    svg.querySelector(`.${which}`).setAttribute("points", points.length === 4 ? write(points) : "");
    for (const [x, y] of points) {
      const dot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      dot.setAttribute("class", which);
      dot.setAttribute("cx", x);
      dot.setAttribute("cy", y);
      dot.setAttribute("r", img.naturalWidth / 160);
      svg.append(dot);
    }
  }
  const arm = img.naturalWidth / 50;
  svg.querySelector(".cross").setAttribute("d", cross ? `M${cross[0] - arm} ${cross[1]}h${2 * arm}M${cross[0]} ${cross[1] - arm}v${2 * arm}` : "");
}

// The picture's own pixels around a point, in the corner that the point is farthest from.
const NEAR = 8;
function near(place, img, [x, y]) {
  const glass = place.querySelector(".loupe");
  const side = glass.width;
  const pen = glass.getContext("2d");
  pen.imageSmoothingEnabled = false;
  pen.clearRect(0, 0, side, side);
  const half = side / NEAR / 2;
  pen.drawImage(img, x - half, y - half, 2 * half, 2 * half, 0, 0, side, side);
  // Dark on light and light on dark.
  for (const [colour, width] of [["#000", 3], ["#fff", 1]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.strokeRect(side / 2 - NEAR / 2, side / 2 - NEAR / 2, NEAR, NEAR);
  }
  glass.hidden = false;
  glass.classList.toggle("left", x > img.naturalWidth / 2);
}

function mark(form, point) {
  const which = form.elements.which.value;
  const before = read(form.elements[which].value);
  const points = before.length < 4 ? [...before, point] : [point];
  form.elements[which].value = write(points.length === 4 ? sorted(points) : points);
  // The window first, then the card.
  const guide = form.elements.guide.value;
  if (points.length === 4 && which === "window" && read(form.elements[guide].value).length < 4) form.elements.which.value = guide;
  return which;
}

// Only what belongs to the card or the target that is there is asked, and sent.
function guided(form) {
  const guide = form.elements.guide.value;
  form.querySelectorAll("[data-for]").forEach((place) => {
    const asked = place.dataset.for === guide;
    place.hidden = !asked;
    place.querySelectorAll("input, select").forEach((field) => { field.disabled = !asked; });
  });
  if (form.querySelector("[name=which]:checked")?.disabled) form.elements.which.value = guide;
}

document.querySelectorAll("[data-marking]").forEach((form) => {
  const img = form.querySelector("img");
  const place = form.querySelector("[data-marks]");
  const where = form.querySelector("[data-where]");
  let cross = null;
  const tell = (which) => {
    const [x, y] = cross;
    const n = read(form.elements[which].value).length;
    where.textContent = where.dataset.where.replace("{x}", Math.round(x)).replace("{y}", Math.round(y)).replace("{n}", n);
  };
  guided(form);
  if (img.complete) draw(form);
  img.addEventListener("load", () => draw(form));
  form.addEventListener("input", () => { guided(form); draw(form); });
  const at = (event) => {
    const box = img.getBoundingClientRect();
    return [((event.clientX - box.left) / box.width) * img.naturalWidth, ((event.clientY - box.top) / box.height) * img.naturalHeight];
  };
  place.addEventListener("pointermove", (event) => { if (img.naturalWidth) near(place, img, at(event)); });
  place.addEventListener("pointerleave", () => { place.querySelector(".loupe").hidden = true; });
  place.addEventListener("click", (event) => {
    if (!img.naturalWidth) return;
    cross = at(event);
    tell(mark(form, cross));
    draw(form);
  });
  place.addEventListener("keydown", (event) => {
    if (!img.naturalWidth || event.ctrlKey || event.altKey || event.metaKey) return;
    // One pixel of the screen, ten with Shift.
    const step = (img.naturalWidth / img.clientWidth) * (event.shiftKey ? 10 : 1);
    const [dx, dy] = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key] ?? [0, 0];
    const keeps = (value, most) => Math.min(Math.max(value, 0), most);
    cross ??= [img.naturalWidth / 2, img.naturalHeight / 2];
    let which = form.elements.which.value;
    if (event.key === "Enter" || event.key === " ") which = mark(form, cross);
    else if (event.key === "Backspace") form.elements[which].value = write(read(form.elements[which].value).slice(0, -1));
    else if (dx || dy) cross = [keeps(cross[0] + dx, img.naturalWidth), keeps(cross[1] + dy, img.naturalHeight)];
    else return;
    event.preventDefault();
    tell(which);
    draw(form, cross);
    near(place, img, cross);
  });
  place.addEventListener("blur", () => { place.querySelector(".loupe").hidden = true; });
});

document.addEventListener("submit", async (event) => {
  const form = event.target.closest?.("[data-marking]");
  if (!form) return;
  event.preventDefault();
  const { which, ...marked } = Object.fromEntries(new FormData(form));
  const { status, body } = await send(form.dataset.marking, marked);
  if (status === 200) location.reload();
  else form.querySelector(".told").replaceChildren(...(body.findings ?? []).map(finding));
});
