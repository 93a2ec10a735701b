// The cloth, large: two pictures of the same place with a seam between them. A rough picture comes first, then fine
// tiles at the pitch of the level, one sample a pixel; where a pixel is wider than a sample may be, smooth ones follow,
// each pixel the mean of several samples. What is no longer looked at is not asked for.
import { hex, lab, sampled, share } from "/a/colours.js";
import { ask } from "/a/talk.js";

// Pitch of level k, mm: steps of a square root of two, from a few threads to the whole bolt.
const pitch = (k) => 2 ** (k / 2) / 32;
const FINEST = 0;
const COARSEST = 17;
const TILE = 384;
const AT_ONCE = 4;
const LENGTHS = 4;
const GAP = 6;
// Pictures in the order in which they are wanted.
const KINDS = ["glance", "view", "smooth"];

// Do two specifications name one cloth?
const same = (a, b) => ["v", "step", "design", "was", "lamp"].every((key) => a[key] === b[key]);
const clamp = (v, least, most) => Math.min(Math.max(v, least), Math.max(least, most));

// One of the two pictures.
class Side {
  constructor(spec) {
    this.spec = spec;
    this.tiles = new Map();
    this.rough = [];
    this.old = [];
    this.samples = null;
  }
  // Another state of the cloth: what is there stays until something newer covers it.
  show(spec) {
    if (this.spec && spec && same(this.spec, spec)) return false;
    this.old = [...this.old.slice(-40), ...this.rough, ...this.tiles.values()];
    this.tiles = new Map();
    this.rough = [];
    this.spec = spec;
    this.samples = null;
    return true;
  }
  *pieces() {
    yield* this.old;
    yield* this.rough;
    yield* this.tiles.values();
  }
}

export class View {
  constructor(table) {
    this.table = table;
    this.cloth = JSON.parse(table.dataset.cloth);
    this.canvas = document.createElement("canvas");
    this.canvas.className = "cloth";
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute("role", "img");
    this.canvas.setAttribute("aria-label", table.dataset.label);
    this.canvas.setAttribute("aria-describedby", "reading");
    table.prepend(this.canvas);
    this.pen = this.canvas.getContext("2d", { alpha: false, willReadFrequently: true });
    this.seam = 0.5;
    this.sides = [new Side(this.cloth.left), new Side(this.cloth.right)];
    this.jobs = new Map();
    this.queue = [];
    this.heard = [];
    this.running = 0;
    this.fit();
    this.goTo(table.dataset.scale || "yard");
    // A canvas that changes its size forgets what was on it.
    new ResizeObserver(() => this.fit() && this.turned()).observe(table);
    document.addEventListener("lorod:found", () => this.settle());
  }

  // The cloth is about to change: what is being made of it as it was would only keep the studio.
  hold() {
    this.held = true;
    this.since = undefined;
    this.jobs.forEach((job) => job.stop.abort());
    this.jobs.clear();
    this.queue = [];
  }

  // It did not change after all.
  goOn() {
    if (this.held) this.settle();
  }

  // The canvas has the pixels of the screen, up to two for a CSS pixel.
  fit() {
    const box = this.table.getBoundingClientRect();
    const sharp = Math.min(devicePixelRatio || 1, 2);
    const [w, h] = [Math.round(box.width * sharp), Math.round(box.height * sharp)];
    if (!w || !h || (w === this.canvas.width && h === this.canvas.height)) return false;
    Object.assign(this.canvas, { width: w, height: h });
    this.sharp = sharp;
    return true;
  }

  // Bolt, yard, repeat, thread.
  goTo(scale, at) {
    const { width, length, repeat } = this.cloth;
    this.whole = scale === "bolt";
    const wide = { yard: Math.min(914.4, width), repeat: repeat * 1.6, thread: 30 }[scale] ?? width;
    this.k = clamp(Math.round(2 * Math.log2(32 * wide / this.canvas.width)), FINEST, COARSEST);
    this.x = at?.x ?? this.x ?? width / 2;
    this.y = at?.y ?? this.y ?? Math.min(1200, length / 2);
    this.turned();
  }

  // Nearer (-1) or farther (+1), around a place of the canvas.
  zoom(by, px, py) {
    const place = this.place(px ?? this.canvas.width / 2, py ?? this.canvas.height / 2);
    if (this.whole) {
      if (by > 0 || !place) return;
      this.goTo("yard", place);
      return;
    }
    const k = this.k + by;
    if (k > COARSEST || pitch(k) * this.canvas.width > this.cloth.width * 2.2) {
      this.goTo("bolt");
      return;
    }
    if (k < FINEST) return;
    const ratio = pitch(k) / pitch(this.k);
    if (place) {
      this.x = place.x + (this.x - place.x) * ratio;
      this.y = place.y + (this.y - place.y) * ratio;
    }
    this.k = k;
    this.turned();
  }

  // By so many pixels of the canvas.
  move(dx, dy) {
    if (this.whole) return;
    this.x += dx * pitch(this.k);
    this.y += dy * pitch(this.k);
    this.turned();
  }

  turned() {
    const { width, length } = this.cloth;
    if (!this.whole) {
      const [w, h] = [this.canvas.width * pitch(this.k), this.canvas.height * pitch(this.k)];
      this.x = w >= width ? width / 2 : clamp(this.x, w / 2, width - w / 2);
      this.y = h >= length ? length / 2 : clamp(this.y, h / 2, length - h / 2);
    }
    this.draw();
    clearTimeout(this.soon);
    this.soon = setTimeout(() => this.settle(), 60);
    this.table.dispatchEvent(new CustomEvent("lorod:moved"));
  }

  // Where cloth lies on the canvas: one pane, or the bolt in lengths side by side. Millimetres and pixels.
  panes() {
    const { width, length } = this.cloth;
    const { width: w, height: h } = this.canvas;
    if (!this.whole) {
      const p = pitch(this.k);
      const [x, y] = [this.x - w * p / 2, this.y - h * p / 2];
      return [{ p, x, y, w: w * p, h: h * p, left: 0, top: 0 }];
    }
    const piece = length / LENGTHS;
    const gap = GAP * this.sharp;
    const p = Math.max(width / ((w - gap * (LENGTHS - 1)) / LENGTHS), piece / h);
    const all = LENGTHS * width / p + gap * (LENGTHS - 1);
    return Array.from({ length: LENGTHS }, (_, n) => ({
      p, x: 0, y: n * piece, w: width, h: piece,
      left: Math.round((w - all) / 2 + n * (width / p + gap)), top: 0,
    }));
  }

  // The place of the cloth under a pixel of the canvas.
  place(px, py) {
    for (const pane of this.panes()) {
      const [x, y] = [pane.x + (px - pane.left) * pane.p, pane.y + (py - pane.top) * pane.p];
      const inside = x >= pane.x && x <= pane.x + pane.w && y >= pane.y && y <= pane.y + pane.h;
      if (inside && x >= 0 && y >= 0 && x <= this.cloth.width && y <= this.cloth.length) return { x, y };
    }
    return null;
  }

  // Pictures of the cloth that the page's own step or another version needs. `since` is when the change was made.
  retarget(left, right, since) {
    const changed = [this.sides[0].show(left), this.sides[1].show(right)];
    if (changed.includes(true)) {
      this.since = since;
      this.told = new Set();
      this.settle();
    }
  }

  alone() {
    const [a, b] = this.sides.map((side) => side.spec);
    return !b || same(a, b);
  }

  draw() {
    const { width: w, height: h } = this.canvas;
    this.pen.fillStyle = getComputedStyle(this.table).backgroundColor;
    this.pen.fillRect(0, 0, w, h);
    [1, 0].forEach((n) => this.lay(n, [...this.sides[n].pieces()]));
  }

  // Pieces of one side over what is on the canvas. One that has just come is laid alone: drawing all of them for each costs
  // more than the waiting for it did.
  lay(n, pieces) {
    const side = this.sides[n];
    const { width: w, height: h } = this.canvas;
    const cut = this.alone() ? w : Math.round(w * this.seam);
    const [from, to] = n === 0 ? [0, cut] : [cut, w];
    if (to <= from || !side.spec) return;
    for (const pane of this.panes()) {
      this.pen.save();
      this.pen.beginPath();
      this.pen.rect(Math.max(from, pane.left), pane.top, Math.min(to, pane.left + pane.w / pane.p) - Math.max(from, pane.left), pane.h / pane.p);
      this.pen.clip();
      for (const piece of pieces) {
        const [x, y] = [Math.round(pane.left + (piece.x - pane.x) / pane.p), Math.round(pane.top + (piece.y - pane.y) / pane.p)];
        const [pw, ph] = [Math.round(pane.left + (piece.x + piece.w - pane.x) / pane.p) - x, Math.round(pane.top + (piece.y + piece.h - pane.y) / pane.p) - y];
        if (x > w || y > h || x + pw < 0 || y + ph < 0) continue;
        // A rough picture is there to be soon.
        this.pen.imageSmoothingQuality = piece.image.width < pw ? "low" : "high";
        this.pen.drawImage(piece.image, x, y, pw, ph);
      }
      this.pen.restore();
    }
  }

  // Asks for what is seen now and is not there, rough pictures first, and gives up what is not seen any more.
  settle() {
    this.held = false;
    const wanted = new Map();
    const { width: w, height: h } = this.canvas;
    const cut = this.alone() ? w : Math.round(w * this.seam);
    [[0, 0, cut], [1, cut, w]].forEach(([n, from, to]) => {
      const side = this.sides[n];
      if (to <= from || !side.spec) return;
      side.wanted = new Set();
      for (const pane of this.panes()) {
        const seen = this.seen(pane, Math.max(from, pane.left), Math.min(to, pane.left + pane.w / pane.p), h);
        if (!seen) continue;
        const tiles = this.grid(pane, seen);
        const missing = tiles.filter((tile) => !side.tiles.has(tile.key));
        tiles.forEach((tile) => side.wanted.add(tile.key));
        if (missing.length && !side.rough.some((r) => covers(r, seen))) this.want(wanted, n, seen, "glance");
        missing.forEach((tile) => this.want(wanted, n, tile, "view"));
        if (pane.p > this.cloth.sample) tiles.filter((tile) => !side.tiles.get(tile.key)?.smooth).forEach((tile) => this.want(wanted, n, tile, "smooth"));
      }
    });
    for (const [address, job] of this.jobs) {
      if (!wanted.has(address)) {
        job.stop.abort();
        this.jobs.delete(address);
      }
    }
    const centre = { x: this.x, y: this.y };
    const far = (job) => Math.hypot(job.rect.x + job.rect.w / 2 - centre.x, job.rect.y + job.rect.h / 2 - centre.y);
    this.queue = [...wanted.values()].filter((job) => !this.jobs.has(job.address));
    this.queue.sort((a, b) => KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind) || far(a) - far(b));
    this.next();
    if (this.jobs.size > 0) this.tell();
  }

  // The part of a pane between two columns of the canvas, in whole pixels of the cloth's own grid.
  seen(pane, from, to, high) {
    const { width, length } = this.cloth;
    const px = (mm) => Math.round(mm / pane.p);
    const x0 = clamp(px(pane.x) + (from - pane.left), 0, Math.floor(width / pane.p));
    const x1 = clamp(px(pane.x) + (to - pane.left), 0, Math.floor(width / pane.p));
    const y0 = clamp(px(pane.y), 0, Math.floor(length / pane.p));
    const y1 = clamp(px(pane.y) + Math.min(high - pane.top, Math.ceil(pane.h / pane.p)), 0, Math.floor(length / pane.p));
    return rect(pane.p, Math.round(x0), y0, Math.round(x1), y1);
  }

  // Tiles over what is seen. Their grid begins where the level was first looked at, so that a first look wastes nothing, and
  // has an even number of columns there: the seam in the middle is the edge of two.
  grid(pane, seen) {
    const name = `${pane.p} ${this.whole ? pane.y : ""}`;
    this.anchors ??= new Map();
    let anchor = this.anchors.get(name);
    if (!anchor) {
      const side = (n, of = 1) => Math.max(64, Math.ceil(n / Math.max(1, of * Math.round(n / TILE / of))));
      const [w, h] = [Math.min(this.canvas.width, Math.floor(this.cloth.width / pane.p)), Math.min(this.canvas.height, Math.ceil(pane.h / pane.p))];
      anchor = { x: Math.max(0, Math.round(pane.x / pane.p)), y: Math.max(0, Math.round(pane.y / pane.p)), w: side(w, this.whole ? 1 : 2), h: side(h) };
      this.anchors.set(name, anchor);
    }
    const tiles = [];
    const first = (from, start, step) => Math.floor((from - start) / step);
    const most = { x: Math.floor(this.cloth.width / pane.p), y: Math.floor(this.cloth.length / pane.p) };
    for (let i = first(seen.x0, anchor.x, anchor.w); anchor.x + i * anchor.w < seen.x1; i++) {
      for (let j = first(seen.y0, anchor.y, anchor.h); anchor.y + j * anchor.h < seen.y1; j++) {
        const [x, y] = [anchor.x + i * anchor.w, anchor.y + j * anchor.h];
        const tile = rect(pane.p, Math.max(0, x), Math.max(0, y), Math.min(x + anchor.w, most.x), Math.min(y + anchor.h, most.y));
        if (tile) tiles.push(tile);
      }
    }
    return tiles;
  }

  want(wanted, n, rect, kind) {
    const { design, step, v, was, lamp } = this.sides[n].spec;
    const query = new URLSearchParams({ x: rect.x.toFixed(4), y: rect.y.toFixed(4), w: rect.w.toFixed(4), h: rect.h.toFixed(4), dpi: (25.4 / rect.p).toFixed(6), step, bolt: this.cloth.bolt, v, for: kind });
    if (was) query.set("was", was);
    if (lamp) query.set("lamp", lamp);
    const address = `/cloth/${encodeURIComponent(design)}.png?${query}`;
    wanted.set(address, { address, rect, kind, n, spec: this.sides[n].spec, stop: new AbortController() });
  }

  next() {
    while (this.running < AT_ONCE && this.queue.length) {
      // Until every pixel is there, nothing that is only smoother takes a core from it.
      if (this.queue[0].kind === "smooth" && [...this.jobs.values()].some((job) => job.kind !== "smooth")) break;
      const job = this.queue.shift();
      this.jobs.set(job.address, job);
      this.running += 1;
      this.fetch(job).finally(() => {
        this.running -= 1;
        if (this.jobs.get(job.address) === job) this.jobs.delete(job.address);
        this.next();
        this.tell();
      });
    }
  }

  async fetch(job) {
    try {
      const answer = await ask(job.address, { signal: job.stop.signal });
      if (answer.status === 503) setTimeout(() => this.settle(), 1000);
      if (!answer.ok) return;
      const image = await createImageBitmap(await answer.blob());
      const side = this.sides[job.n];
      if (side.spec !== job.spec) return;
      const piece = { ...job.rect, image, smooth: job.kind === "smooth" };
      side.samples = null;
      if (job.kind === "glance") {
        side.rough = [...side.rough.filter((r) => !covers(piece, r)).slice(-8), piece];
        this.lay(job.n, [piece, ...side.tiles.values()]);
      } else {
        side.tiles.set(job.rect.key, piece);
        this.spare(side);
        this.lay(job.n, [piece]);
      }
    } catch (error) {
      if (error.name !== "AbortError" && !(error instanceof TypeError)) throw error;
    }
  }

  // Memory has an end: tiles that are not looked at go, the oldest first.
  spare(side) {
    for (const key of side.tiles.keys()) {
      if (side.tiles.size <= 160) break;
      if (!side.wanted?.has(key)) side.tiles.delete(key);
    }
  }

  // When the rough picture is there; at once where none is asked for.
  rough() {
    return this.when((open) => !open.some((job) => job.kind === "glance"));
  }

  // When each pixel is there for itself.
  fine() {
    return this.when((open) => open.every((job) => job.kind === "smooth"));
  }

  when(reached) {
    return reached([...this.jobs.values(), ...this.queue]) ? Promise.resolve() : new Promise((done) => { this.heard.push({ reached, done }); });
  }

  // Says how far the picture is: rough when every rough picture is there, fine when each pixel was made for itself, smooth
  // when nothing is left to ask for.
  tell() {
    if (this.held) return;
    const open = [...this.jobs.values(), ...this.queue];
    const now = performance.now();
    const first = KINDS.findIndex((kind) => open.some((job) => job.kind === kind));
    const state = ["waiting", "rough", "fine", "smooth"].at(first);
    if (this.since !== undefined) {
      for (const reached of ["rough", "fine", "smooth"].slice(0, first < 0 ? 3 : first)) {
        if (this.told.has(reached)) continue;
        this.told.add(reached);
        performance.measure(`edit-to-${reached}`, { start: this.since, end: now });
      }
      if (state === "smooth") this.since = undefined;
    }
    this.table.dataset.state = state;
    const there = this.heard.filter((one) => one.reached(open));
    this.heard = this.heard.filter((one) => !there.includes(one));
    there.forEach((one) => one.done());
    if (state === "smooth") {
      this.sides.forEach((side) => { side.old = []; });
      this.table.dispatchEvent(new CustomEvent("lorod:smooth", { bubbles: true }));
    }
  }

  // The colour under a pixel of the canvas, and its share of the picture on that side.
  read(px, py) {
    const place = this.place(px, py);
    if (!place) return null;
    const [r, g, b] = this.pen.getImageData(px, py, 1, 1).data;
    const n = this.alone() || px < this.canvas.width * this.seam ? 0 : 1;
    const side = this.sides[n];
    if (!side.samples) {
      const cut = this.alone() ? this.canvas.width : Math.round(this.canvas.width * this.seam);
      const [from, to] = n === 0 ? [0, cut] : [cut, this.canvas.width];
      if (to - from < 2) return null;
      side.samples = sampled(this.pen.getImageData(from, 0, to - from, this.canvas.height));
    }
    const colour = lab(r, g, b);
    return { ...place, colour, hex: hex(r, g, b), share: share(side.samples, colour) };
  }
}

function rect(p, x0, y0, x1, y1) {
  if ((x1 - x0) * p < 1 || (y1 - y0) * p < 1) return null;
  return { p, x0, y0, x1, y1, x: x0 * p, y: y0 * p, w: (x1 - x0) * p, h: (y1 - y0) * p, key: `${p} ${x0} ${y0} ${x1} ${y1}` };
}

function covers(big, small) {
  const slack = 0.5 * small.p;
  return big.p === small.p && big.x <= small.x + slack && big.y <= small.y + slack && big.x + big.w >= small.x + small.w - slack && big.y + big.h >= small.y + small.h - slack;
}
