// A clock for the witness strip: started when the strip goes in, stopped when it has reached the printed tint; what it shows
// then stands in the field as if it were typed. It runs by the day's time and is kept for the tab, so that a phone that
// sleeps or a page that is read anew loses nothing. Without a script there is only the field.
const LONGEST = 120 * 60;

const seconds = (since) => Math.min(LONGEST, Math.max(0, Math.round((Date.now() - since) / 1000)));
const clock = (s) => `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
const place = (watch) => `watch ${watch.dataset.of}`;
const field = (watch) => document.getElementById(watch.dataset.watch);

function kept(watch) {
  try {
    const since = Number(sessionStorage.getItem(place(watch)));
    return since > 0 ? since : null;
  } catch {
    return watch.since ?? null;
  }
}

function keep(watch, since) {
  watch.since = since;
  try {
    if (since) sessionStorage.setItem(place(watch), String(since));
    else sessionStorage.removeItem(place(watch));
  } catch {
    // A browser that keeps nothing: the clock runs for as long as the page stands.
  }
}

function show(watch) {
  const since = kept(watch);
  const [start, stop] = ["start", "stop"].map((what) => watch.querySelector(`[data-clock=${what}]`));
  start.hidden = since !== null;
  stop.hidden = since === null;
  if (since === null) return;
  watch.querySelector("[role=timer]").textContent = clock(seconds(since));
  setTimeout(() => { if (watch.isConnected) show(watch); }, 1000 - ((Date.now() - since) % 1000));
}

function tell(watch, text) {
  watch.querySelector("[role=status]").textContent = text;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-clock]");
  const watch = button?.closest("[data-watch]");
  if (!watch) return;
  if (button.dataset.clock === "start") {
    keep(watch, Date.now());
    show(watch);
    tell(watch, watch.dataset.runs);
    watch.querySelector("[data-clock=stop]").focus();
    return;
  }
  const noted = clock(Math.max(1, seconds(kept(watch))));
  keep(watch, null);
  show(watch);
  watch.querySelector("[role=timer]").textContent = noted;
  field(watch).value = noted;
  tell(watch, watch.dataset.noted.replace("0:00", noted));
  field(watch).focus();
});

// Clocks that stand under `root` are shown, and go on where they were.
export function watches(root) {
  root.querySelectorAll("[data-watch]").forEach((watch) => {
    watch.hidden = false;
    show(watch);
  });
}
