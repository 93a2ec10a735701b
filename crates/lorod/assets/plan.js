// Drawings of the plan by keys: + and - show fewer days or more, Page Down and Page Up the days after and before. The drawing
// that was used is the one that is used after it.
const TURNS = { "+": "in", "=": "in", "-": "out", PageDown: "on", PageUp: "back" };
const KEPT = "lorod:hours";

document.addEventListener("keydown", (event) => {
  const hours = event.target.closest?.(".chart .scroll");
  const turn = TURNS[event.key];
  if (!hours || !turn || event.ctrlKey || event.altKey || event.metaKey) return;
  const link = document.querySelector(`[data-turn="${turn}"]`);
  if (!link) return;
  event.preventDefault();
  sessionStorage.setItem(KEPT, hours.id);
  // A fragment would take the focus away again.
  const to = new URL(link.href);
  to.hash = "";
  location.assign(to);
});

const kept = document.getElementById(sessionStorage.getItem(KEPT) ?? "");
sessionStorage.removeItem(KEPT);
if (kept) kept.focus();
