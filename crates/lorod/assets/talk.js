// Speaking with the studio: the start token, the state of the connection, answers as JSON.
const token = document.querySelector("meta[name=lorod-token]")?.content ?? "";
const banner = () => document.getElementById("lost");

let lost = false;

// A studio that was stopped comes back with another token: then the page must be read anew.
async function listen() {
  try {
    const answer = await fetch("/api/alive", { cache: "no-store" });
    const { start } = await answer.json();
    if (start !== document.querySelector("meta[name=lorod-start]")?.content) {
      location.reload();
      return;
    }
    say(false);
  } catch {
    setTimeout(listen, 1000);
  }
}

function say(isLost) {
  if (lost === isLost) return;
  lost = isLost;
  const place = banner();
  if (place) place.hidden = !isLost;
  document.documentElement.classList.toggle("adrift", isLost);
  if (isLost) setTimeout(listen, 500);
  else document.dispatchEvent(new CustomEvent("lorod:found"));
}

// As fetch; a studio that does not answer is told on the page and looked for until it is there again.
export async function ask(address, options = {}) {
  try {
    return await fetch(address, options);
  } catch (error) {
    if (error.name !== "AbortError") say(true);
    throw error;
  }
}

// Sends a change. Answers {status, body}; the body is {} where the studio had no words.
export async function send(address, body, hash, signal) {
  const headers = { "lorod-token": token };
  if (hash) headers["if-match"] = `"${hash}"`;
  if (!(body instanceof Blob)) headers["content-type"] = "application/json";
  const answer = await ask(address, {
    method: "POST",
    headers,
    signal,
    body: body instanceof Blob ? body : JSON.stringify(body ?? {}),
  });
  const said = await answer.json().catch(() => ({}));
  return { status: answer.status, body: said };
}

// A finding as the pages draw it: word, what was found, what is allowed, what to do.
export function finding(found) {
  const place = document.createElement("div");
  place.className = `find ${found.weight}`;
  const line = document.createElement("p");
  const word = document.createElement("b");
  word.className = "w";
  word.textContent = found.word;
  const begin = found.found.charAt(0).toUpperCase() + found.found.slice(1);
  line.append(word, ` ${begin}${/[.!?]$/.test(begin) ? "" : "."}`);
  place.append(line);
  for (const [name, text] of [["small", found.allowed], ["do", found.remedy]]) {
    if (!text) continue;
    const more = document.createElement("p");
    more.className = name;
    more.textContent = `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
    place.append(more);
  }
  return place;
}

// While a page is open, it looks now and then whether the studio is still there.
setInterval(() => {
  if (!lost && document.visibilityState === "visible") ask("/api/alive", { cache: "no-store" }).catch(() => {});
}, 5000);
