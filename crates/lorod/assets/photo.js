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

function draw(form) {
  const img = form.querySelector("img");
  const svg = form.querySelector("svg");
  if (!img.naturalWidth) return;
  svg.setAttribute("viewBox", `0 0 ${img.naturalWidth} ${img.naturalHeight}`);
  svg.querySelectorAll("circle").forEach((dot) => dot.remove());
  for (const which of ["window", "grey"]) {
    const points = read(form.elements[which].value);
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
}

document.querySelectorAll("[data-marking]").forEach((form) => {
  const img = form.querySelector("img");
  if (img.complete) draw(form);
  img.addEventListener("load", () => draw(form));
  form.addEventListener("input", () => draw(form));
  form.querySelector("[data-marks]").addEventListener("click", (event) => {
    if (!img.naturalWidth) return;
    const box = img.getBoundingClientRect();
    const point = [((event.clientX - box.left) / box.width) * img.naturalWidth, ((event.clientY - box.top) / box.height) * img.naturalHeight];
    const which = form.elements.which.value;
    const before = read(form.elements[which].value);
    const points = before.length < 4 ? [...before, point] : [point];
    form.elements[which].value = write(points.length === 4 ? sorted(points) : points);
    // The window first, then the card.
    if (points.length === 4 && which === "window" && read(form.elements.grey.value).length < 4) form.elements.which.value = "grey";
    draw(form);
  });
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
