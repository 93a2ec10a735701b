// Hands on the cloth: mouse, finger and keys move it, come nearer, pull the seam and read colours.
import { hex, mean } from "/a/colours.js";
import { View } from "/a/view.js";

let view = null;

// The view of the page, if it has one.
export const cloth = () => view;

const words = (table) => JSON.parse(table.dataset.words);

export function lay(table) {
  if (view?.table === table) return view;
  view = new View(table);
  const { canvas } = view;
  const slider = table.querySelector(".pull");
  const pixel = (event) => {
    const box = canvas.getBoundingClientRect();
    return [Math.round((event.clientX - box.left) * view.sharp), Math.round((event.clientY - box.top) * view.sharp)];
  };
  const pull = (share) => {
    view.seam = Math.min(Math.max(share, 0), 1);
    table.style.setProperty("--seam", `${view.seam * 100}%`);
    slider.value = Math.round(view.seam * 100);
    slider.setAttribute("aria-valuetext", `${slider.value} % ${table.querySelector(".cap.left")?.textContent ?? ""}`);
    view.sides.forEach((side) => { side.samples = null; });
    view.draw();
  };
  slider.hidden = false;
  slider.addEventListener("input", () => pull(slider.value / 100));
  slider.addEventListener("change", () => view.settle());
  pull(view.seam);

  const held = new Map();
  let spread = 0;
  const handle = table.querySelector(".seam");
  handle.addEventListener("pointerdown", (event) => {
    handle.setPointerCapture(event.pointerId);
    const drag = (move) => {
      const box = canvas.getBoundingClientRect();
      pull((move.clientX - box.left) / box.width);
    };
    const end = () => {
      handle.removeEventListener("pointermove", drag);
      view.settle();
    };
    handle.addEventListener("pointermove", drag);
    handle.addEventListener("pointerup", end, { once: true });
    handle.addEventListener("pointercancel", end, { once: true });
    event.preventDefault();
    slider.focus({ preventScroll: true });
  });
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, [event.clientX, event.clientY]);
    canvas.dataset.moved = "";
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = held.get(event.pointerId);
    if (!before) {
      if (event.pointerType === "mouse") read(table, pixel(event));
      return;
    }
    held.set(event.pointerId, [event.clientX, event.clientY]);
    if (held.size === 2) {
      const [a, b] = [...held.values()];
      const now = Math.hypot(a[0] - b[0], a[1] - b[1]);
      spread ||= now;
      const middle = pixel({ clientX: (a[0] + b[0]) / 2, clientY: (a[1] + b[1]) / 2 });
      if (now > spread * 1.35 || now < spread / 1.35) {
        view.zoom(now > spread ? -1 : 1, ...middle);
        spread = now;
      }
    }
    const [dx, dy] = [event.clientX - before[0], event.clientY - before[1]];
    if (Math.abs(dx) + Math.abs(dy) > 0) {
      view.move(-dx * view.sharp / held.size, -dy * view.sharp / held.size);
      canvas.dataset.moved = "1";
    }
  });
  const release = (event) => {
    if (held.delete(event.pointerId) && !canvas.dataset.moved) {
      if (view.whole) view.zoom(-1, ...pixel(event));
      else {
        read(table, pixel(event));
        pick(pixel(event));
      }
    }
    spread = 0;
  };
  canvas.addEventListener("pointerup", release);
  canvas.addEventListener("pointercancel", (event) => held.delete(event.pointerId));
  canvas.addEventListener("dblclick", (event) => view.zoom(-2, ...pixel(event)));
  let turned = 0;
  canvas.addEventListener("wheel", (event) => {
    // A page scrolls past the cloth; the cloth comes nearer with Ctrl, or once it was clicked.
    if (!event.ctrlKey && document.activeElement !== canvas) return;
    event.preventDefault();
    turned += event.deltaY;
    if (Math.abs(turned) < 50) return;
    view.zoom(turned > 0 ? 1 : -1, ...pixel(event));
    turned = 0;
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const by = Math.round(canvas.width / 8);
    const moves = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] };
    if (moves[event.key]) view.move(...moves[event.key]);
    else if (event.key === "+" || event.key === "=") view.zoom(-1);
    else if (event.key === "-") view.zoom(1);
    else if (event.key === "Home") view.goTo("bolt");
    else if (event.key === "Enter") {
      const middle = [Math.round(canvas.width / 2), Math.round(canvas.height / 2)];
      read(table, middle);
      pick(middle);
    }
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  table.addEventListener("lorod:moved", () => where(table));
  where(table);
  return view;
}

// A colour that somebody wants: told to whoever asks for colours.
function pick([px, py]) {
  if (!view.place(px, py)) return;
  const [r, g, b] = mean(view.pen, px, py);
  document.dispatchEvent(new CustomEvent("lorod:picked", { detail: { hex: hex(r, g, b) } }));
}

// How near, and the buttons that say so.
export function nearness(root) {
  root.querySelectorAll("[data-near]").forEach((button) => {
    button.addEventListener("click", () => {
      const to = button.dataset.near;
      if (to === "in" || to === "out") view?.zoom(to === "in" ? -1 : 1);
      else view?.goTo(to);
    });
  });
}

const number = (v, digits) => v.toFixed(digits).replace(".", document.documentElement.lang === "id" ? "," : ".");

// A length in the reader's units.
function length(mm, table) {
  if (words(table).units === "imperial") return mm < 914.4 ? `${number(mm / 25.4, mm < 100 ? 2 : 1)} in` : `${number(mm / 914.4, 2)} yd`;
  return mm < 1000 ? `${number(mm, mm < 100 ? 1 : 0)} mm` : `${number(mm / 1000, 2)} m`;
}

function where(table) {
  const out = document.getElementById("where");
  if (!out) return;
  const say = words(table);
  const wide = view.canvas.width * view.panes()[0].p;
  out.textContent = view.whole ? say.whole : say.part.replace("⟨y⟩", length(view.y, table)).replace("⟨x⟩", length(view.x, table)).replace("⟨w⟩", length(Math.min(wide, view.cloth.width), table));
}

function read(table, [px, py]) {
  const out = document.getElementById("reading");
  const found = view.read(px, py);
  if (!out || !found) return;
  const [l, a, b] = found.colour.map((v) => number(v, 0).replace(/^-0$/, "0"));
  const say = words(table).reading;
  out.querySelector(".chip").style.backgroundColor = found.hex;
  out.querySelector(".said").textContent = say.replace("⟨l⟩", l).replace("⟨a⟩", a).replace("⟨b⟩", b).replace("⟨hex⟩", found.hex.toUpperCase()).replace("⟨share⟩", number(found.share * 100, 0));
  out.dataset.read = "1";
}
