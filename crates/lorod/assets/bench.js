// Pieces of a page that take a while: each is asked for until it is there, and says how far it is meanwhile. The studio
// stops working on what nobody asks for any more, so leaving the page is enough.
import { ask } from "/a/talk.js";

const pause = (ms) => new Promise((done) => { setTimeout(done, ms); });

// The finished piece as nodes; `say` hears the share done. Nothing if `place` has left the page.
async function piece(href, place, say) {
  for (;;) {
    const answer = await ask(href, { headers: { accept: "text/html" } });
    if (!place.isConnected) return null;
    if (answer.status !== 202) {
      if (!answer.ok) throw new Error(String(answer.status));
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      return [...page.body.childNodes];
    }
    say(Number(answer.headers.get("lorod-share") ?? 0));
    await pause(150);
  }
}

// Fills a place with its piece. What stands there stays until then.
export async function fill(place, href = place.dataset.job) {
  const bar = place.querySelector("progress");
  place.setAttribute("aria-busy", "true");
  place.dataset.asked = href;
  try {
    const nodes = await piece(href, place, (share) => {
      if (bar && share > 0) bar.value = share;
    });
    // Another question may have overtaken this one.
    if (!nodes || place.dataset.asked !== href) return;
    // What the whole page rests on: it is read anew.
    if (nodes.some((node) => node.dataset?.again !== undefined)) {
      location.reload();
      return;
    }
    const open = [...place.querySelectorAll("details[open] > summary")].map((one) => one.textContent);
    const view = place.querySelector("input[name=view]:checked")?.id;
    const typed = document.activeElement?.id;
    place.replaceChildren(...nodes);
    place.querySelectorAll("details > summary").forEach((one) => { one.parentElement.open ||= open.includes(one.textContent); });
    if (view) document.getElementById(view)?.click();
    if (typed && !document.activeElement?.id) document.getElementById(typed)?.focus({ preventScroll: true });
    place.removeAttribute("aria-busy");
    if (location.hash) document.querySelector(`${location.hash}:not(:target)`)?.scrollIntoView();
  } catch {
    if (place.dataset.asked !== href) return;
    place.removeAttribute("aria-busy");
    if (bar) bar.hidden = true;
    const told = place.querySelector(".waits .told");
    if (told) told.hidden = false;
  }
}

export function jobs(root) {
  const all = [...root.querySelectorAll("[data-job]")];
  if (root.matches?.("[data-job]")) all.push(root);
  all.filter((place) => !place.dataset.asked).forEach((place) => fill(place));
}

document.addEventListener("lorod:found", () => document.querySelectorAll("[data-job] > .waits").forEach((one) => fill(one.parentElement)));
