import { finding, send } from "/a/talk.js";

// A way to go on becomes the plan, or the last choice is taken back. Who chose meanwhile in another tab is told.
document.addEventListener("click", async (event) => {
  const button = event.target.closest?.("[data-plan]");
  if (!button) return;
  const hash = document.querySelector("[data-plan-hash]").dataset.planHash;
  const { status, body } = await send(button.dataset.plan, JSON.parse(button.dataset.sends ?? "{}"), hash);
  if (status === 200) location.assign(body.href);
  else {
    const told = document.querySelector("[data-plan-told]");
    told.replaceChildren(...(body.findings ?? []).map(finding));
    told.scrollIntoView({ block: "center" });
  }
});

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
