// What a page does beyond its links. Reading works without this; changing a design does not.
import "/a/bring.js";
import "/a/copper.js";
import "/a/desk.js";
import { lay, nearness } from "/a/hand.js";
import "/a/photo.js";
import "/a/pick.js";
import "/a/plan.js";
import "/a/shelf.js";
import "/a/talk.js";
import { take } from "/a/take.js";
import { walk } from "/a/walk.js";
import { watches } from "/a/watch.js";
import { jobs } from "/a/work.js";

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

// What takes the computer's time begins when the page can be read: on two cores it would keep the browser from showing it.
// A page that nobody looks at is not painted, and waits for nothing.
const shown = new Promise((done) => {
  if (document.hidden || !PerformanceObserver.supportedEntryTypes?.includes("paint")) {
    done();
    return;
  }
  new PerformanceObserver((list, observer) => {
    observer.disconnect();
    done();
  }).observe({ type: "paint", buffered: true });
});

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
  root.querySelectorAll("[data-take]").forEach(take);
  nearness(root);
  watches(root);
  shown.then(() => jobs(root));
}

// The cloth first: the palette waits until the large pictures are there.
document.addEventListener("lorod:rest", () => {
  document.querySelectorAll("[data-winding]").forEach((place) => {
    if (place.dataset.asked) return;
    place.dataset.asked = "1";
    wind(place).catch(() => {});
  });
});

// A page that was made before everything was read is made again when it is.
document.querySelectorAll("[data-unread]").forEach(async (place) => {
  await shown;
  await fetch(place.dataset.unread);
  const answer = await fetch(location.href);
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const main = page.querySelector("main");
  if (!main || main.querySelector("[data-unread]")) return;
  // Pictures that are there stay.
  const have = new Map([...document.querySelectorAll("main img")].map((img) => [img.getAttribute("src"), img]));
  main.querySelectorAll("img").forEach((img) => have.has(img.getAttribute("src")) && img.replaceWith(have.get(img.getAttribute("src"))));
  const begun = [...document.querySelectorAll("main [data-job]")];
  document.querySelector("main").replaceWith(main);
  begun.forEach((place) => main.querySelector(`[data-job="${place.dataset.job}"]`)?.replaceWith(place));
  wake(main);
});

// Where the pages do not fit beside each other, the one that is shown is.
const here = document.querySelector(".selvedge nav [aria-current]");
if (here) here.parentElement.scrollLeft = here.offsetLeft - (here.parentElement.clientWidth - here.offsetWidth) / 2;

wake(document);
walk(wake);
document.querySelectorAll(".table[data-cloth]").forEach(lay);
