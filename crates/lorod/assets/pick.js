// Colours for the regions of a cloth: picked from the cloth, from a picture, or out of a file of measurements.
import { hex, mean } from "/a/colours.js";
import { make } from "/a/desk.js";
import { finding, send } from "/a/talk.js";

let picked = null;

// `text` is how the colour is written into the design's file.
function pick(shown, text, name) {
  picked = text;
  const place = document.getElementById("picked");
  if (!place) return;
  place.hidden = false;
  place.querySelector(".chip").style.backgroundColor = shown;
  place.querySelector(".said").textContent = name ? `${name}: ${text}` : text;
  const colour = document.getElementById("region-colour");
  if (colour) colour.value = text;
}

document.addEventListener("lorod:picked", (event) => pick(event.detail.hex, event.detail.hex));

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("button");
  if (button?.hasAttribute("data-give") && picked) {
    make({ do: "target", at: Number(document.getElementById("give-to").value), key: "colour", text: picked });
  }
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("[data-new-target]")) return;
  event.preventDefault();
  const form = event.target;
  const steps = (how) => [...form.querySelectorAll("[data-wax]")].filter((select) => select.value === how).map((select) => select.dataset.wax);
  make({
    do: "add-target",
    name: form.querySelector("#region-name").value,
    colour: form.querySelector("#region-colour").value,
    waxed: steps("waxed"),
    bare: steps("bare"),
    leads: form.querySelector("#region-leads")?.value || null,
  });
});

// Widest that a picture is shown, px.
const WIDE = 560;

async function show(file) {
  const told = document.getElementById("measured-told");
  const canvas = document.getElementById("picture-held");
  try {
    const image = await createImageBitmap(file);
    const scale = Math.min(1, WIDE / image.width);
    Object.assign(canvas, { width: Math.round(image.width * scale), height: Math.round(image.height * scale) });
    canvas.getContext("2d", { willReadFrequently: true }).drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.hidden = false;
    told.replaceChildren();
  } catch {
    canvas.hidden = true;
    told.textContent = told.dataset.none;
  }
}

function from(canvas, px, py) {
  const [r, g, b] = mean(canvas.getContext("2d"), px, py);
  pick(hex(r, g, b), hex(r, g, b));
}

async function measured(file) {
  const query = new URLSearchParams({ file: file.name, scale: document.getElementById("file-scale").value });
  const { status, body } = await send(`/api/samples?${query}`, file);
  document.getElementById("measured-told").replaceChildren(...(body.findings ?? []).map(finding));
  const samples = status === 200 ? body.samples : [];
  document.getElementById("measured").replaceChildren(
    ...samples.map((sample) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      const chip = document.createElement("span");
      chip.className = "chip";
      chip.style.backgroundColor = sample.screen;
      button.type = "button";
      button.className = "sample";
      button.append(chip, ` ${sample.name}`);
      const text = sample.lab.map((v) => v.toFixed(2)).join(", ");
      button.addEventListener("click", () => pick(sample.screen, text, sample.name));
      item.append(button);
      return item;
    }),
  );
}

document.addEventListener("change", (event) => {
  if (event.target.id === "shade-picker") {
    document.getElementById("shade-target").value = event.target.value;
    event.target.form.requestSubmit();
  }
  const file = event.target.files?.[0];
  if (event.target.id === "from-picture" && file) show(file);
  if (event.target.id === "from-file" && file) measured(file);
  const held = document.getElementById("from-file")?.files[0];
  if (event.target.id === "file-scale" && held) measured(held);
});
document.addEventListener("pointerdown", (event) => {
  if (event.target.id !== "picture-held") return;
  const [canvas, box] = [event.target, event.target.getBoundingClientRect()];
  from(canvas, Math.round(((event.clientX - box.left) * canvas.width) / box.width), Math.round(((event.clientY - box.top) * canvas.height) / box.height));
});
document.addEventListener("keydown", (event) => {
  if (event.target.id === "picture-held" && event.key === "Enter") from(event.target, event.target.width >> 1, event.target.height >> 1);
});
