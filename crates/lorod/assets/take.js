// A drawing, dropped or chosen, becomes a design. How it reads as wax is shown before, and whatever is wrong is told in
// words beside it.
import { finding, send } from "/a/talk.js";

export function take(form) {
  const part = (selector) => form.querySelector(selector);
  const [input, drop, told, wax, words] = ["input[type=file]", ".drop-here", ".told", ".as-wax", ".read-as"].map(part);
  const [name, width, limit, cut] = ["name", "width", "wax_below", "cut"].map((key) => part(`[name=${key}]`));
  let drawing = null;
  let reading = null;
  let typing = 0;

  // Where nobody moved the limit, it is the drawing's own.
  const asked = () => ({ width: width.value, wax_below: limit.dataset.moved ? limit.value : "", cut: cut.checked ? "1" : "", file: drawing.name });

  // The drawing as wax at the size that stands in its field; another size overtakes it.
  const read = async () => {
    reading?.abort();
    if (!drawing) return;
    reading = new AbortController();
    const { signal } = reading;
    wax.setAttribute("aria-busy", "true");
    if (!wax.firstChild) wax.textContent = wax.dataset.busy;
    try {
      const { status, body } = await send(`/api/reading?${new URLSearchParams(asked())}`, drawing, null, signal);
      if (signal.aborted) return;
      told.replaceChildren(...(body.findings ?? []).map(finding));
      wax.innerHTML = body.picture ?? "";
      words.innerHTML = body.piece ?? "";
      if (status !== 200) return;
      form.querySelectorAll(".paint").forEach((one) => { one.hidden = body.wax_below === null; });
      limit.value = Math.round(body.wax_below ?? 50);
      part("output").textContent = limit.value;
      if (body.roomy) part(".roomy").hidden = false;
      // A drawing that is lost on its page is cut to its shapes, until somebody wants the room.
      if (body.lost && !cut.dataset.asked) {
        cut.dataset.asked = "1";
        cut.checked = true;
        read();
      }
    } catch (error) {
      if (error.name !== "AbortError" && !(error instanceof TypeError)) throw error;
    } finally {
      if (!signal.aborted) wax.removeAttribute("aria-busy");
    }
  };
  const soon = () => {
    clearTimeout(typing);
    typing = setTimeout(read, 250);
  };

  const show = (file) => {
    drawing = file;
    told.replaceChildren();
    wax.replaceChildren();
    words.replaceChildren();
    delete limit.dataset.moved;
    cut.checked = false;
    delete cut.dataset.asked;
    part(".roomy").hidden = true;
    form.classList.add("held");
    part(".file").textContent = file.name;
    const [picture, another] = [part(".preview"), part("[data-another]")];
    if (picture.src) URL.revokeObjectURL(picture.src);
    picture.src = URL.createObjectURL(/\.svg$/i.test(file.name) ? new Blob([file], { type: "image/svg+xml" }) : file);
    another.textContent = another.dataset.another;
    part(".brought").hidden = false;
    form.querySelectorAll(".ask").forEach((one) => { one.hidden = true; });
    if (!name.value) {
      const plain = file.name.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ").trim();
      name.value = plain.charAt(0).toUpperCase() + plain.slice(1);
    }
    name.focus({ preventScroll: true });
    read();
  };
  width.addEventListener("input", soon);
  cut.addEventListener("change", read);
  limit.addEventListener("input", () => {
    limit.dataset.moved = "1";
    part("output").textContent = limit.value;
    soon();
  });
  words.addEventListener("click", ({ target }) => {
    const other = target.closest("[data-wax-below]");
    if (!other) return;
    limit.value = other.dataset.waxBelow;
    limit.dispatchEvent(new Event("input"));
    limit.focus({ preventScroll: true });
  });
  input.addEventListener("change", () => input.files[0] && show(input.files[0]));
  drop.addEventListener("dragover", (event) => {
    event.preventDefault();
    drop.classList.add("over");
  });
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    if (event.dataTransfer.files[0]) show(event.dataTransfer.files[0]);
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!drawing) {
      input.focus();
      told.textContent = told.dataset.none;
      return;
    }
    const button = part("[type=submit]");
    button.disabled = true;
    form.setAttribute("aria-busy", "true");
    told.textContent = told.dataset.busy;
    try {
      const { status, body } = await send(`/api/designs?${new URLSearchParams({ name: name.value, ...asked() })}`, drawing);
      if (status === 201) {
        location.assign(`${body.href}?tour=1`);
        return;
      }
      told.replaceChildren(...(body.findings ?? []).map(finding));
      told.focus();
    } finally {
      button.disabled = false;
      form.removeAttribute("aria-busy");
    }
  });
}

// A drawing that is dropped beside the place for it must not replace the page.
for (const kind of ["dragover", "drop"]) {
  addEventListener(kind, (event) => event.preventDefault());
}
