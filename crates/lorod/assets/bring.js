// Files that are sent as they are: an archive, measurements. What became of them is told beside the place.
import { finding, send } from "/a/talk.js";

async function bring(form, file) {
  const told = form.querySelector(".told");
  told.textContent = told.dataset.busy;
  const { status, body } = await send(`${form.dataset.bring}?${new URLSearchParams({ file: file.name })}`, file);
  // What was brought is chosen at once where the page chooses among such files.
  if (status === 201 && form.dataset.chooses) {
    const here = new URL(location.href);
    here.searchParams.set(form.dataset.chooses, body.name);
    location.assign(here.href);
    return;
  }
  told.replaceChildren(...(body.findings ?? []).map(finding));
}

document.addEventListener("change", (event) => {
  const form = event.target.closest?.("[data-bring]");
  if (form && event.target.files?.[0]) bring(form, event.target.files[0]).finally(() => { event.target.value = ""; });
});
document.addEventListener("drop", (event) => {
  const form = event.target.closest?.("[data-bring]");
  if (form && event.dataTransfer.files[0]) bring(form, event.dataTransfer.files[0]);
});

document.addEventListener("submit", async (event) => {
  const form = event.target.closest?.("[data-promise]");
  if (!form) return;
  event.preventDefault();
  const { status, body } = await send(form.dataset.promise, Object.fromEntries(new FormData(form)));
  if (status === 201) location.assign(body.href);
  else form.querySelector(".told").replaceChildren(...(body.findings ?? []).map(finding));
});

// The collection is signed; the page then says so.
document.addEventListener("submit", async (event) => {
  const form = event.target.closest?.("[data-sign]");
  if (!form) return;
  event.preventDefault();
  const { status, body } = await send(form.dataset.sign, Object.fromEntries(new FormData(form)), form.dataset.hash);
  if (status === 200) location.reload();
  else form.querySelector(".told").replaceChildren(...(body.findings ?? []).map(finding));
});
