// Work of some seconds: asked for at once or at the press of a button, told as it goes, and given up when its place leaves
// the page. What it comes to is a piece that is laid in its place, or an answer that the page then reads.
import { ask, finding } from "/a/talk.js";
import { refresh } from "/a/walk.js";

// What each place waits for: leaving and asking anew stop it.
const asked = new WeakMap();
const places = new Set();
addEventListener("pagehide", () => places.forEach((place) => asked.get(place)?.abort()));

// The last line of an answer; `say` hears the shares before it. Nothing if the place has left the page meanwhile.
async function last(href, place, stop, say) {
  const answer = await ask(href, { headers: { accept: "application/x-ndjson" }, signal: stop.signal });
  if (!answer.ok) throw new Error(String(answer.status));
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) throw new Error("the answer broke off");
    const lines = (rest + value).split("\n");
    rest = lines.pop();
    for (const line of lines.map((text) => JSON.parse(text))) {
      if (!place.isConnected) {
        stop.abort();
        return null;
      }
      if (line.share === undefined) return line;
      say(line.share);
    }
  }
}

// Lays a piece in its place; what was open, shown or typed in stays so.
function lay(place, piece) {
  const nodes = [...new DOMParser().parseFromString(piece, "text/html").body.childNodes];
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
  if (location.hash) document.querySelector(`${location.hash}:not(:target)`)?.scrollIntoView();
}

// Along the lower edge of a phone the parts pass sideways: the one that is worked on is in sight.
function sight(place) {
  const here = place.querySelector(".knots a[aria-current]");
  const line = here?.closest(".knots");
  if (line) line.scrollLeft = here.offsetLeft - line.offsetLeft + (here.offsetWidth - line.clientWidth) / 2;
}

// Fills a place with what it asks for. What stands there stays until then.
export async function fill(place, href = place.dataset.job) {
  asked.get(place)?.abort();
  const stop = new AbortController();
  asked.set(place, stop);
  places.add(place);
  const waits = place.querySelector(":scope > .waits");
  const bar = waits?.querySelector("progress");
  const told = waits?.querySelector(".told");
  const button = place.querySelector(":scope > [data-begins]");
  if (waits) waits.hidden = false;
  if (bar) bar.hidden = false;
  if (told) told.hidden = true;
  if (button) button.hidden = true;
  place.setAttribute("aria-busy", "true");
  let line = null;
  try {
    line = await last(href, place, stop, (share) => { if (bar && share > 0) bar.value = share; });
  } catch {
    // Told below, unless it was given up.
  }
  if (stop.signal.aborted || asked.get(place) !== stop || !place.isConnected) return;
  if (line?.piece !== undefined) {
    lay(place, line.piece);
    sight(place);
  } else if (line?.findings?.length) place.replaceChildren(...line.findings.map(finding));
  else if (line?.answer === undefined) {
    if (bar) bar.hidden = true;
    if (told) told.hidden = false;
    if (button) button.hidden = false;
  }
  place.removeAttribute("aria-busy");
  places.delete(place);
  if (line?.answer !== undefined) await refresh(location.href, false);
  // What was made changes what the edge says of the design.
  else if (place.querySelector(":scope > [data-renews]")) document.dispatchEvent(new CustomEvent("lorod:renewed"));
}

// Begins what waits under `root`, once.
export function jobs(root) {
  const all = [...root.querySelectorAll("[data-job]")];
  if (root.matches?.("[data-job]")) all.push(root);
  for (const place of all.filter((one) => !one.dataset.taken)) {
    place.dataset.taken = "1";
    sight(place);
    const button = place.querySelector(":scope > [data-begins]");
    if (button) button.addEventListener("click", () => fill(place));
    else fill(place);
  }
}

// What is told of a design along the edge follows the page when that was read anew.
document.addEventListener("lorod:renewed", () => document.querySelectorAll("[data-follows]").forEach((place) => fill(place)));

// A studio that was lost is there again: what broke off is asked for anew.
document.addEventListener("lorod:found", () => document.querySelectorAll("[data-job] > .waits .told:not([hidden])").forEach((told) => fill(told.closest("[data-job]"))));
