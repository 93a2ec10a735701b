// What is recorded and taken back: on the shelf of stamps, and of what was measured here.
import { finding, send } from "/a/talk.js";

// The day here; whoever records for another day says so.
const now = new Date();
const today = [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
document.querySelectorAll("[data-today]").forEach((field) => { field.value ||= today; });

// Only what belongs to the deed is asked, and sent.
function ask(choice) {
  choice.closest("form").querySelectorAll("[data-for]").forEach((place) => {
    const asked = place.dataset.for === choice.value;
    place.hidden = !asked;
    place.querySelectorAll("input").forEach((field) => { field.disabled = !asked; });
  });
}
document.querySelectorAll("[data-deed]").forEach(ask);
document.addEventListener("change", (event) => {
  if (event.target.matches?.("[data-deed]")) ask(event.target);
});

async function record(address, body, told) {
  const hash = document.querySelector("[data-record-hash]").dataset.recordHash;
  const answer = await send(address, body, hash);
  if (answer.status === 200) location.reload();
  else told.replaceChildren(...(answer.body.findings ?? []).map(finding));
}

document.addEventListener("submit", (event) => {
  const form = event.target.closest?.("form[data-record]");
  if (!form) return;
  event.preventDefault();
  record(form.dataset.record, Object.fromEntries(new FormData(form)), form.querySelector(".told"));
});
document.addEventListener("click", (event) => {
  const button = event.target.closest?.("button[data-record]");
  if (button) record(button.dataset.record, {}, document.querySelector("[data-record-told]"));
});
