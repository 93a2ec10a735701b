// Work of some seconds: asked for at once or at the press of a button, told as it goes, and given up when the page is left
// or has moved on.
import { ask, finding } from "/a/talk.js";
import { refresh } from "/a/walk.js";

const leaving = new AbortController();
addEventListener("pagehide", () => leaving.abort());

// Lines of JSON as they come.
async function* lines(answer) {
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) break;
    const whole = (rest + value).split("\n");
    rest = whole.pop();
    yield* whole.map((line) => JSON.parse(line));
  }
}

async function begin(place) {
  const say = document.createElement("p");
  const bar = document.createElement("progress");
  say.setAttribute("role", "status");
  say.className = "doing";
  say.textContent = `${place.dataset.doing} …`;
  bar.max = 1;
  bar.setAttribute("aria-label", place.dataset.doing);
  place.dataset.busy = "1";
  place.replaceChildren(say, bar);
  const stop = new AbortController();
  leaving.signal.addEventListener("abort", () => stop.abort());
  try {
    const answer = await ask(place.dataset.work, { headers: { accept: "application/x-ndjson" }, signal: stop.signal });
    for await (const line of lines(answer)) {
      // The page went on to another cloth: nobody waits here.
      if (!place.isConnected) {
        stop.abort();
        return;
      }
      if (line.share !== undefined) bar.value = line.share;
      else if (line.findings) place.replaceChildren(...line.findings.map(finding));
      else {
        delete place.dataset.busy;
        await refresh(location.href, false);
      }
    }
  } catch (error) {
    if (error.name !== "AbortError" && !(error instanceof TypeError)) throw error;
  } finally {
    delete place.dataset.busy;
  }
}

export function toil(place) {
  if (place.dataset.taken) return;
  place.dataset.taken = "1";
  const button = place.querySelector("[data-begins]");
  if (button) button.addEventListener("click", () => begin(place));
  else begin(place);
}
