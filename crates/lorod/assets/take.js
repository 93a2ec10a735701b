// A drawing, dropped or chosen, becomes a design. Whatever is wrong with it is told in words beside it.
import { finding, send } from "/a/talk.js";

export function take(form) {
  const input = form.querySelector("input[type=file]");
  const drop = form.querySelector(".drop-here");
  const told = form.querySelector(".told");
  const [name, width] = [form.querySelector("[name=name]"), form.querySelector("[name=width]")];
  let drawing = null;

  const show = (file) => {
    drawing = file;
    told.replaceChildren();
    form.classList.add("held");
    form.querySelector(".file").textContent = file.name;
    const picture = form.querySelector(".preview");
    if (picture.src) URL.revokeObjectURL(picture.src);
    picture.src = URL.createObjectURL(new Blob([file], { type: "image/svg+xml" }));
    picture.hidden = false;
    if (!name.value) {
      const plain = file.name.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ").trim();
      name.value = plain.charAt(0).toUpperCase() + plain.slice(1);
    }
    name.focus();
  };
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
    const button = form.querySelector("[type=submit]");
    button.disabled = true;
    told.textContent = told.dataset.busy;
    const query = new URLSearchParams({ name: name.value, width: width.value, file: drawing.name });
    try {
      const { status, body } = await send(`/api/designs?${query}`, drawing);
      if (status === 201) {
        location.assign(`${body.href}?tour=1`);
        return;
      }
      told.replaceChildren(...(body.findings ?? []).map(finding));
      told.focus();
    } finally {
      button.disabled = false;
    }
  });
}

// A drawing that is dropped beside the place for it must not replace the page.
for (const kind of ["dragover", "drop"]) {
  addEventListener(kind, (event) => event.preventDefault());
}
