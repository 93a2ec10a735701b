// Left and right arrows walk the film strip. The next page is fetched and laid in place, so that the strip's
// pictures stay; the address always says which step is shown.
let wake = () => {};

function centre() {
  const chosen = document.querySelector(".route li[aria-current]");
  const strip = chosen?.parentElement;
  if (strip) strip.scrollLeft = chosen.offsetLeft - (strip.clientWidth - chosen.offsetWidth) / 2;
}

async function lay(href, push) {
  const answer = await fetch(href, { headers: { accept: "text/html" } });
  if (!answer.ok) {
    location.assign(href);
    return;
  }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const main = page.querySelector("main");
  if (!main) {
    location.assign(href);
    return;
  }
  // Pictures that are on the page already are kept as they are.
  const have = new Map([...document.querySelectorAll("main .route img")].map((img) => [img.getAttribute("src"), img]));
  main.querySelectorAll(".route img").forEach((img) => {
    const old = have.get(img.getAttribute("src"));
    if (old) img.replaceWith(old);
  });
  document.querySelector("main").replaceWith(main);
  document.title = page.title;
  if (push) history.pushState(null, "", href);
  centre();
  wake(main);
}

function step(by) {
  const links = [...document.querySelectorAll(".route a[data-step]")];
  const at = links.findIndex((link) => link.closest("[aria-current]"));
  const next = links[at + by];
  if (next) {
    lay(next.href, true)
      .then(() => document.querySelector(".route [aria-current] a")?.focus({ preventScroll: true }))
      .catch(() => location.assign(next.href));
  }
}

export function walk(ready) {
  wake = ready;
  if (!document.querySelector(".route")) return;
  centre();
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("input, textarea, select, .scroll");
    if (typing || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (event.key === "ArrowRight" || event.key === "ArrowLeft") {
      event.preventDefault();
      step(event.key === "ArrowRight" ? 1 : -1);
    }
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.(".route a[data-step]");
    if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    lay(link.href, true).catch(() => location.assign(link.href));
  });
  addEventListener("popstate", () => lay(location.href, false).catch(() => location.reload()));
}
