// Pages that change in place: the film strip is walked by keys and clicks, and after a change only the parts that
// differ are replaced. The address always says which step is shown.
import { cloth } from "/a/hand.js";

let wake = () => {};

function centre() {
  const chosen = document.querySelector(".route li[aria-current]");
  const strip = chosen?.parentElement;
  if (strip) strip.scrollLeft = chosen.offsetLeft - (strip.clientWidth - chosen.offsetWidth) / 2;
}

// Frames keep their picture until the new one is there, and ask for it only when the large cloth is done.
function keepFrames(old, next) {
  const have = new Map([...old.querySelectorAll("img[data-frame]")].map((img) => [img.dataset.frame, img]));
  const wanted = (img) => img.dataset.next ?? img.getAttribute("src");
  next.querySelectorAll("img[data-frame]").forEach((img) => {
    const before = have.get(img.dataset.frame);
    if (!before) return;
    if (wanted(before) === wanted(img)) img.replaceWith(before);
    else {
      img.dataset.next = wanted(img);
      if (before.hasAttribute("src")) img.setAttribute("src", before.getAttribute("src"));
    }
  });
}

// One frame after the other: the first makes all of them, and the other lines stay free for the large cloth.
let turn = 0;
let underway = null;

async function developFrames() {
  holdFrames();
  const mine = turn;
  for (const img of document.querySelectorAll("img[data-next]")) {
    const wanted = img.dataset.next;
    underway = new Image();
    underway.src = wanted;
    const there = await underway.decode().then(() => true, () => false);
    if (turn !== mine) return;
    if (there && img.dataset.next === wanted) {
      img.src = wanted;
      delete img.dataset.next;
    }
  }
  underway = null;
  // The studio had too much to do, or was away.
  if (document.querySelector("img[data-next]")) setTimeout(() => turn === mine && developFrames(), 2000);
}

// Cloth that is being changed again needs no frames of what it was.
export function holdFrames() {
  turn += 1;
  if (underway) underway.src = "";
  underway = null;
}

// What was refused stays in its field, with the reason beside it, when work that ends in the background brings a fresh copy.
function keepRefused(old, next) {
  const part = (root, id) => id && root.querySelector(`#${CSS.escape(id)}`);
  old.querySelectorAll(".field.off input").forEach((input) => {
    const fresh = part(next, input.id);
    if (!fresh) return;
    fresh.value = input.value;
    fresh.setAttribute("aria-invalid", "true");
    fresh.closest(".field")?.classList.add("off");
    const told = (input.getAttribute("aria-describedby") ?? "").split(" ").pop();
    const [said, place] = [part(old, told), part(next, told)];
    if (said && place) place.replaceChildren(...said.childNodes);
  });
}

// The page is busy while a change or a fresh copy is under way.
let under = 0;
export async function busy(work) {
  const desk = document.querySelector("[data-desk]");
  under += 1;
  desk?.setAttribute("aria-busy", "true");
  try {
    return await work;
  } finally {
    under -= 1;
    if (under === 0) {
      desk?.removeAttribute("aria-busy");
      rest();
    }
  }
}

// The cloth is there, and so are the words about it: now for what hangs around them.
function rest() {
  if (under === 0 && document.querySelector(".table[data-cloth]")?.dataset.state === "smooth") document.dispatchEvent(new CustomEvent("lorod:rest"));
}

// Replaces every part of the page that differs in a fresh copy of it.
export const refresh = (href, push, since, signal) => busy(renew(href, push, since, signal));

async function renew(href, push, since, signal) {
  const answer = await fetch(href, { headers: { accept: "text/html" }, signal });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const [here, there] = [document.querySelector("[data-desk]"), page.querySelector("[data-desk]")];
  if (!answer.ok || !here || !there || here.dataset.desk !== there.dataset.desk) {
    location.assign(href);
    return;
  }
  const typed = document.activeElement;
  const [id, caret] = [typed?.id, typed?.selectionStart];
  for (const part of there.querySelectorAll("[data-part]")) {
    const old = here.querySelector(`[data-part="${part.dataset.part}"]`);
    if (!old || old.isEqualNode(part)) continue;
    // Work that goes on for this very version is not begun again.
    if (old.querySelector("[data-job][aria-busy]") && here.dataset.hash === there.dataset.hash) continue;
    keepFrames(old, part);
    keepRefused(old, part);
    // What is being typed right now stays.
    const held = old.contains(typed) && typed.matches("input") && typed.value !== typed.defaultValue ? typed.value : null;
    old.replaceWith(part);
    const again = id && document.getElementById(id);
    if (again && old.contains(typed)) {
      if (held !== null) again.value = held;
      again.focus({ preventScroll: true });
      if (caret !== null && again.setSelectionRange && again.type === "text") again.setSelectionRange(caret, caret);
    }
    wake(part);
  }
  for (const [key, value] of Object.entries(there.dataset)) here.dataset[key] = value;
  document.title = page.title;
  document.dispatchEvent(new CustomEvent("lorod:renewed"));
  if (push) history.pushState(null, "", href);
  centre();
  const view = cloth();
  const table = there.querySelector(".table[data-cloth]");
  if (view && table) {
    view.cloth = JSON.parse(table.dataset.cloth);
    view.table.dataset.cloth = table.dataset.cloth;
    view.canvas.setAttribute("aria-label", table.dataset.label);
    view.table.classList.toggle("alone", table.classList.contains("alone"));
    view.retarget(view.cloth.left, view.cloth.right, since);
    view.turned();
  }
}

const visit = (href) => refresh(href, true, performance.now()).catch(() => location.assign(href));

function step(by) {
  const links = [...document.querySelectorAll(".route a[data-step]")];
  const next = links[links.findIndex((link) => link.closest("[aria-current]")) + by];
  if (next) visit(next.href).then(() => document.querySelector(".route [aria-current] a")?.focus({ preventScroll: true }));
}

export function walk(ready) {
  wake = ready;
  document.addEventListener("lorod:smooth", rest);
  if (!document.querySelector("[data-desk]")) return;
  centre();
  document.addEventListener("lorod:rest", developFrames);
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("input, textarea, select, .scroll, canvas, dialog");
    if (typing || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (document.querySelector(".route") && (event.key === "ArrowRight" || event.key === "ArrowLeft")) {
      event.preventDefault();
      step(event.key === "ArrowRight" ? 1 : -1);
    }
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[data-lay]");
    if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    visit(link.href);
  });
  document.addEventListener("change", (event) => {
    const form = event.target.closest?.("form[data-lay]");
    if (form) visit(`${location.pathname}?${new URLSearchParams(new FormData(form))}`);
  });
  addEventListener("popstate", () => refresh(location.href, false, performance.now()).catch(() => location.reload()));
}
