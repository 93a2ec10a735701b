// Hands on a stamp: changes are kept or refused, a drawing is taken or brought, the hand slips.
import { fill } from "/a/work.js";
import { make, redraw } from "/a/desk.js";

const refused = (root) => [...root.querySelectorAll("[data-keep-change]:not(:checked)")].map((box) => Number(box.dataset.keepChange));

document.addEventListener("change", (event) => {
  if (event.target.matches?.("[data-keep-kind]")) {
    const boxes = [...event.target.closest("[data-kind]").querySelectorAll("[data-keep-change]")];
    boxes.forEach((box) => { box.checked = event.target.checked; });
    boxes[0]?.dispatchEvent(new Event("change", { bubbles: true }));
  }
  if (event.target.matches?.("[data-keep-change]")) {
    const place = event.target.closest("[data-job]");
    const ids = refused(place);
    fill(place, `${place.dataset.job}${ids.length ? `&refuse=${ids.join(",")}` : ""}`);
  }
  if (event.target.matches?.("#redraw") && event.target.files[0]) redraw(event.target.files[0]);
});

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-accept]");
  if (!button) return;
  const place = button.closest("[data-build]");
  button.disabled = true;
  make({ do: "build", stamp: place.dataset.build, refuse: refused(place) }).finally(() => {
    button.disabled = false;
  });
});

// A drawing may be dropped anywhere on the page of its stamp.
document.addEventListener("drop", (event) => {
  const file = event.dataTransfer?.files[0];
  if (file && document.querySelector("[data-redraw]")) redraw(file);
});

let sliding = 0;
document.addEventListener("input", (event) => {
  const form = event.target.closest?.("[data-slide]");
  if (!form) return;
  clearTimeout(sliding);
  sliding = setTimeout(() => {
    const place = form.closest("[data-job]");
    fill(place, `${place.querySelector("[data-slip]").dataset.slip}&${new URLSearchParams(new FormData(form))}`);
  }, 60);
});
