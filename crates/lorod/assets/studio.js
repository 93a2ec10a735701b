// What a page does beyond its links: the seam, walking the strip by keys, the winding, pictures that must wait.
// Every page works without this.
import { pull } from "/a/seam.js";
import { walk } from "/a/walk.js";

const WAITS = [1000, 2000, 4000, 8000];

// A picture that found the queue full asks again, a little later each time.
function patient(img, turn = 0) {
  img.addEventListener(
    "error",
    () => {
      if (turn < WAITS.length) {
        setTimeout(() => {
          patient(img, turn + 1);
          img.src = img.src;
        }, WAITS[turn]);
      }
    },
    { once: true },
  );
}

async function wind(place) {
  const answer = await fetch(place.dataset.winding);
  if (answer.ok && place.isConnected) {
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const made = page.querySelector(".windings");
    if (made) place.replaceWith(made);
  }
}

export function wake(root) {
  root.querySelectorAll("img").forEach((img) => patient(img));
  root.querySelectorAll(".table").forEach((table) => {
    const pictures = [...table.querySelectorAll("img")];
    const done = () => pictures.every((img) => img.complete && img.naturalWidth) && table.classList.add("ready");
    pictures.forEach((img) => img.addEventListener("load", done));
    done();
  });
  root.querySelectorAll("[data-seam]").forEach(pull);
  root.querySelectorAll("[data-winding]").forEach((place) => {
    // The cloth first: the palette waits until the large pictures are there.
    const pictures = [...root.querySelectorAll(".table img")].filter((img) => !img.complete);
    Promise.allSettled(pictures.map((img) => new Promise((done) => {
      img.addEventListener("load", done, { once: true });
      img.addEventListener("error", done, { once: true });
    }))).then(() => wind(place)).catch(() => {});
  });
}

wake(document);
walk(wake);
