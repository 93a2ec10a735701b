// Changes to a design: fields that are checked as they are typed and sent when they are left, steps that come, go and
// move, undo and redo. What somebody else changed meanwhile is shown before anything is written over it.
import { cloth } from "/a/hand.js";
import { finding, send } from "/a/talk.js";
import { busy, holdFrames, refresh } from "/a/walk.js";

// Longest that the words of a page wait for the fine cloth, ms.
const PATIENCE = 600;

const desk = () => document.querySelector("[data-desk]");
const api = (what) => `/api/design/${encodeURIComponent(desk().dataset.desk)}/${what}`;

// One change after the other, each made for the file that the one before it left.
let line = Promise.resolve();
const inTurn = (work) => {
  line = busy(line.then(work, work)).catch(() => {}).then(() => cloth()?.goOn());
  return line;
};

// The words that a change still owes: they follow the cloth, and another change that comes first owes newer ones.
let owed = null;
let stop = null;

// The cloth is about to change: what was being made of it as it was is of no use any more.
function begin() {
  holdFrames();
  cloth()?.hold();
  stop?.abort();
  return performance.now();
}

async function follow() {
  const [mine, view, what] = [new AbortController(), cloth(), owed];
  stop = mine;
  if (view) await Promise.race([what.push ? view.rough() : view.fine(), new Promise((late) => { setTimeout(late, PATIENCE); })]);
  if (mine.signal.aborted) return;
  await refresh(what.href, what.push, what.since, mine.signal);
  if (owed === what) owed = null;
}

// Words that were stopped for a change that was not made, or lost on the way, are asked for again.
const goOn = () => owed && busy(follow()).catch(() => {});
document.addEventListener("lorod:found", goOn);

function tell(place, findings) {
  if (place) place.replaceChildren(...findings.map(finding));
}

const placeOf = (field) => document.getElementById(`${(field?.querySelector("[aria-describedby]")?.getAttribute("aria-describedby") ?? "").split(" ").pop()}`);

// The change that a field makes with what stands in it now.
function asked(field) {
  const change = JSON.parse(field.dataset.change);
  if (field.hasAttribute("data-doses")) {
    const doses = [...field.querySelectorAll(".dose")];
    return { ...change, given: doses.map((dose) => ({ dye: dose.querySelector("[data-dye]").value, depth: dose.querySelector("[data-depth]").value })) };
  }
  const value = field.querySelector("input, select").value;
  const empty = value.trim() === "" ? null : value;
  if (change.do === "set") return { ...change, given: empty };
  return { ...change, text: ["stamp", "target"].includes(change.do) ? empty : value };
}

function mark(field, wrong) {
  field.classList.toggle("off", wrong);
  field.querySelectorAll("input").forEach((input) => input.setAttribute("aria-invalid", String(wrong)));
}

// Marks a field as refused; where the page has a fresh copy of it by now, the copy, with what was typed.
function refuse(field) {
  field.querySelectorAll("input").forEach((input) => {
    const now = input.isConnected ? input : document.getElementById(input.id);
    if (now && now !== input) now.value = input.value;
    const around = now?.closest(".field");
    if (around) mark(around, true);
  });
}

// As typed: is it allowed?
let typing = 0;
function check(field) {
  clearTimeout(typing);
  typing = setTimeout(async () => {
    const { body } = await send(api("try"), asked(field)).catch(() => ({ body: {} }));
    if (!field.isConnected) return;
    const found = body.findings ?? [];
    mark(field, found.length > 0);
    tell(placeOf(field), found);
  }, 200);
}

// Sends a change; what it was refused for stands beside its field, or under the head.
export function make(change, field) {
  clearTimeout(typing);
  const since = begin();
  return inTurn(async () => {
    const here = desk();
    if (!here) return;
    const sent = [...(field?.querySelectorAll("input") ?? [])].map((input) => [input, input.value]);
    const { status, body } = await send(api("change"), change, here.dataset.hash);
    // What was sent is no longer being typed: the page may show it as it stands in the file.
    if (status === 200) sent.filter(([input, value]) => input.value === value).forEach(([input, value]) => { input.defaultValue = value; });
    await after(status, body, since, () => make(change, field), field);
  });
}

// Another drawing for the stamp of the page.
export function redraw(file) {
  const since = begin();
  return inTurn(async () => {
    const query = new URLSearchParams({ stamp: desk().dataset.stamp, file: file.name });
    const { status, body } = await send(`${api("drawing")}?${query}`, file, desk().dataset.hash);
    await after(status, body, since, () => redraw(file));
  });
}

function go(way) {
  const since = begin();
  return inTurn(async () => {
    const { status, body } = await send(api(way), {}, desk().dataset.hash);
    await after(status, body, since, () => go(way));
  });
}

async function after(status, body, since, again, field) {
  const here = desk();
  if (status === 409) {
    if (field) mark(field, false);
    tell(placeOf(field), []);
    clash(body, again);
    return;
  }
  const place = placeOf(field) ?? document.getElementById("told");
  if (status !== 200) {
    if (field) refuse(field);
    tell(place, body.findings ?? []);
    goOn();
    return;
  }
  if (field) mark(field, false);
  tell(place, []);
  here.dataset.hash = body.hash;
  document.getElementById("clash").hidden = true;
  const [marks, shown] = [body.marks, here.dataset.step];
  const gone = !marks[shown];
  const about = document.querySelector(".route") && marks[body.step] ? body.step : null;
  const push = (about && about !== shown) || gone;
  const view = cloth();
  if (view && (about || !gone)) {
    // The cloth first; the words of the page follow. Where the change leads to another step, so does the cloth of this one.
    const fresh = (spec, step) => (spec && spec.design === here.dataset.desk && !spec.was && marks[step] ? { ...spec, step, v: marks[step] } : spec);
    const [left, right] = view.sides.map((side) => side.spec);
    view.retarget(fresh(left, push && left?.step === shown ? about : left?.step), fresh(right, right?.step), since);
  }
  const address = new URL(location.href);
  if (about) address.searchParams.set("step", about);
  else if (gone) address.searchParams.delete("step");
  owed = { href: address.href, push, since };
  goOn();
}

// Somebody else wrote the file. Nothing is lost: the change can be made on top, or left.
function clash(body, again) {
  const place = document.getElementById("clash");
  tell(place.querySelector(".told"), body.findings ?? []);
  const words = JSON.parse(place.dataset.words);
  const list = (body.differences ?? []).map((one) => {
    const item = document.createElement("li");
    const name = document.createElement("b");
    name.textContent = one.what;
    item.append(name, ` ${one.before ?? words.none} → ${one.after ?? words.none}`);
    return item;
  });
  place.querySelector("ul").replaceChildren(...list);
  place.hidden = false;
  place.querySelector("[data-theirs]").onclick = async () => {
    place.hidden = true;
    owed = null;
    await refresh(location.href, false);
  };
  place.querySelector("[data-mine]").onclick = async () => {
    place.hidden = true;
    if (body.hash) desk().dataset.hash = body.hash;
    else await refresh(location.href, false);
    await again();
  };
  place.querySelector("[data-mine]").focus();
}

const fieldOf = (event) => event.target.closest?.("[data-desk] .field[data-change]");

document.addEventListener("input", (event) => {
  const field = fieldOf(event);
  if (field && event.target.matches("input")) check(field);
});
document.addEventListener("change", (event) => {
  const field = fieldOf(event);
  if (field) make(asked(field), field);
});
document.addEventListener("submit", (event) => {
  if (event.target.matches("[data-form]")) {
    event.preventDefault();
    document.activeElement?.blur();
  }
  if (event.target.matches("[data-add]")) {
    event.preventDefault();
    make({ do: "add", kind: event.target.querySelector("select").value, at: Number(event.target.dataset.add) });
  }
  if (event.target.matches("[data-keep]")) {
    event.preventDefault();
    keep(event.target);
  }
});
document.addEventListener("focusin", (event) => {
  const about = event.target.getAttribute?.("aria-describedby")?.split(" ") ?? [];
  document.querySelectorAll(".help.on").forEach((help) => help.classList.remove("on"));
  about.forEach((id) => document.getElementById(id)?.classList.toggle("on", id.endsWith("-help")));
});
document.addEventListener("click", (event) => {
  const button = event.target.closest?.("button");
  if (!button || !desk()) return;
  if (button.dataset.go) go(button.dataset.go);
  else if (button.dataset.act) make(JSON.parse(button.dataset.act));
  else if (button.dataset.opens) {
    const dialog = document.getElementById(button.dataset.opens);
    // What the copy differs in, if it does.
    dialog.dataset.with = button.dataset.with ?? "";
    dialog.showModal();
  }
  else if (button.hasAttribute("data-closes")) button.closest("dialog")?.close();
  else if (button.hasAttribute("data-drop")) {
    const field = button.closest(".field");
    button.closest(".dose").remove();
    make(asked(field), field);
  } else if (button.hasAttribute("data-more")) {
    const field = button.closest(".field");
    const change = asked(field);
    const taken = change.given.map((dose) => dose.dye);
    const free = JSON.parse(field.closest("[data-store]").dataset.store).find((dye) => !taken.includes(dye));
    const depth = change.given.at(-1)?.depth ?? "1 %";
    if (free) make({ ...change, given: [...change.given, { dye: free, depth }] }, field);
  }
});
document.addEventListener("keydown", (event) => {
  const undo = (event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === "z";
  if (!undo || !desk()) return;
  // In a field that is being typed in, the browser undoes the typing.
  const field = event.target.matches?.("input") && event.target.value !== event.target.defaultValue;
  if (field) return;
  event.preventDefault();
  go(event.shiftKey ? "redo" : "undo");
});

async function keep(form) {
  const differs = form.closest("dialog").dataset.with;
  const change = differs ? { change: JSON.parse(differs) } : {};
  const { status, body } = await send(api("colourway"), { colourway: form.querySelector("input").value, ...change });
  if (status === 201) location.assign(body.href);
  else tell(form.querySelector(".told"), body.findings ?? []);
}
