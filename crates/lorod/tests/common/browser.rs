//! A real browser for the page tests: Chromium, spoken to over a pair of pipes (the DevTools protocol, one JSON message
//! after the other, each ended by a zero byte).

use super::Scratch;
use serde_json::{Value, json};
use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long a condition may take: not how fast a page is, but when a test gives up on a loaded machine.
pub const PATIENCE: Duration = Duration::from_secs(180);

/// A tab that is not looked at.
pub struct Tab(String);

/// One browser, of which one tab is looked at.
pub struct Browser {
    child: Child,
    to: File,
    from: BufReader<File>,
    next: u64,
    session: String,
    complaints: Vec<String>,
}

impl Browser {
    /// Starts it; `None` where this machine has none.
    pub fn start(scratch: &Scratch) -> Option<Self> {
        let chromium = chromium()?;
        let (into, out) = (scratch.path("browser-in"), scratch.path("browser-out"));
        let made = Command::new("mkfifo").args([&into, &out]).status().unwrap();
        assert!(made.success());
        // The browser reads commands from descriptor 3 and answers on 4.
        let child = Command::new("sh")
            .args(["-c", "exec \"$0\" \"$@\" 3<\"$PIPE_IN\" 4>\"$PIPE_OUT\""])
            .arg(chromium)
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"])
            .args(["--disable-background-networking", "--disable-component-update"])
            .arg(format!("--user-data-dir={}", scratch.path("profile").display()))
            .args(["--remote-debugging-pipe", "about:blank"])
            .env("PIPE_IN", &into)
            .env("PIPE_OUT", &out)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let to = OpenOptions::new().write(true).open(&into).unwrap();
        let from = BufReader::new(File::open(&out).unwrap());
        let mut browser = Self {
            child,
            to,
            from,
            next: 0,
            session: String::new(),
            complaints: Vec::new(),
        };
        browser.tab();
        Some(browser)
    }

    /// Opens a tab and turns to it; answers the one that was turned away from.
    pub fn tab(&mut self) -> Tab {
        let before = std::mem::take(&mut self.session);
        let page = self.call("Target.createTarget", json!({ "url": "about:blank" }));
        let attach = json!({ "targetId": page["targetId"], "flatten": true });
        let session = self.call("Target.attachToTarget", attach);
        self.session = session["sessionId"].as_str().unwrap().to_string();
        for domain in ["Page", "Runtime", "Log", "DOM"] {
            self.call(&format!("{domain}.enable"), json!({}));
        }
        Tab(before)
    }

    /// Turns to another tab; answers the one that was turned away from.
    pub fn turn_to(&mut self, tab: Tab) -> Tab {
        let before = std::mem::replace(&mut self.session, tab.0);
        // A tab that nobody looks at draws nothing.
        self.call("Page.bringToFront", json!({}));
        Tab(before)
    }

    /// Sends a command and waits for its answer; what the page complains of meanwhile is kept.
    #[track_caller]
    pub fn call(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let mut message = json!({ "id": self.next, "method": method, "params": params });
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        let mut bytes = message.to_string().into_bytes();
        bytes.push(0);
        self.to.write_all(&bytes).unwrap();
        loop {
            let mut bytes = Vec::new();
            self.from.read_until(0, &mut bytes).unwrap();
            assert_eq!(bytes.pop(), Some(0), "the browser is gone");
            let answer: Value = serde_json::from_slice(&bytes).unwrap();
            match answer["method"].as_str() {
                Some("Runtime.exceptionThrown") => {
                    self.complaints
                        .push(answer["params"]["exceptionDetails"].to_string());
                }
                Some("Log.entryAdded") => {
                    // That the server refused something is what some tests are about.
                    let entry = &answer["params"]["entry"];
                    if entry["source"] != "network" {
                        self.complaints.push(entry["text"].to_string());
                    }
                }
                _ => {}
            }
            if answer["id"] == json!(self.next) {
                assert!(answer["error"].is_null(), "{method}: {}", answer["error"]);
                return answer["result"].clone();
            }
        }
    }

    /// Exceptions and broken policies since the last call.
    pub fn complaints(&mut self) -> Vec<String> {
        std::mem::take(&mut self.complaints)
    }

    /// The window, in CSS pixels.
    pub fn size(&mut self, width: u32, height: u32) {
        let metrics = json!({
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500,
        });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
        // What the page does about it begins with its next frame.
        self.run("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))");
    }

    /// Opens a page and waits until it is read.
    #[track_caller]
    pub fn open(&mut self, address: &str) {
        self.run("window.beforeThis = true");
        self.call("Page.navigate", json!({ "url": address }));
        self.until("!window.beforeThis && document.readyState === 'complete'");
    }

    /// The value of an expression; of a promise, what it comes to.
    #[track_caller]
    pub fn run(&mut self, expression: &str) -> Value {
        let params = json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        let answer = self.call("Runtime.evaluate", params);
        let wrong = &answer["exceptionDetails"];
        assert!(wrong.is_null(), "{expression}: {wrong}");
        answer["result"]["value"].clone()
    }

    /// Waits until an expression is true.
    #[track_caller]
    pub fn until(&mut self, expression: &str) {
        let begun = Instant::now();
        loop {
            let params = json!({ "expression": expression, "returnByValue": true });
            // While a page goes and another comes there is nothing to ask.
            if self.call("Runtime.evaluate", params)["result"]["value"] == json!(true) {
                return;
            }
            assert!(begun.elapsed() < PATIENCE, "never true: {expression}");
            std::thread::sleep(Duration::from_millis(40));
        }
    }

    /// Waits until the page is at rest: read, no change or piece under way, the cloth drawn as fine as it is seen.
    #[track_caller]
    pub fn settle(&mut self) {
        self.until(
            "document.readyState === 'complete' && !document.querySelector('[aria-busy=true], [data-unread], img[data-next], .table[data-cloth]:not([data-state=smooth])')",
        );
    }

    /// Types into a field as a person does: what was there goes, and the field is left.
    #[track_caller]
    pub fn fill(&mut self, selector: &str, text: &str) {
        self.settle();
        let field = format!("document.querySelector({})", json!(selector));
        let script = format!(
            "{field}.focus(); {field}.value = {}; for (const kind of ['input', 'change']) {field}.dispatchEvent(new Event(kind, {{ bubbles: true }}))",
            json!(text)
        );
        self.run(&script);
    }

    /// Presses a button or follows a link.
    #[track_caller]
    pub fn press(&mut self, selector: &str) {
        self.settle();
        self.run(&format!("document.querySelector({}).click()", json!(selector)));
    }

    /// Presses the mouse in the middle of something, or at a share of its width and height.
    #[track_caller]
    pub fn click(&mut self, selector: &str, share: [f64; 2]) {
        let place = self.run(&format!(
            "(() => {{ const one = document.querySelector({}); one.scrollIntoView({{ block: 'center', behavior: 'instant' }}); const box = one.getBoundingClientRect(); return [box.left + box.width * {}, box.top + box.height * {}]; }})()",
            json!(selector), share[0], share[1]
        ));
        for kind in ["mouseMoved", "mousePressed", "mouseReleased"] {
            let (button, count) = if kind == "mouseMoved" {
                ("none", 0)
            } else {
                ("left", 1)
            };
            let params =
                json!({ "type": kind, "x": place[0], "y": place[1], "button": button, "clickCount": count });
            self.call("Input.dispatchMouseEvent", params);
        }
    }

    /// Presses what can be seen to say this, with the mouse: of several the one that says least besides. What lies under
    /// something else cannot be pressed.
    #[track_caller]
    pub fn press_words(&mut self, words: &str) {
        self.settle();
        let marked = self.run(&format!(
            r"(() => {{
                const seen = [...document.querySelectorAll('a, button, summary, label')].filter((one) => one.checkVisibility({{ visibilityProperty: true }}) && !one.disabled && one.textContent.includes({}));
                const one = seen.sort((a, b) => a.textContent.length - b.textContent.length)[0];
                if (!one) return 'nothing says so';
                one.scrollIntoView({{ block: 'center', behavior: 'instant' }});
                const box = one.getBoundingClientRect();
                const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
                if (!one.contains(top)) return 'it lies under ' + top?.outerHTML.slice(0, 200);
                document.querySelectorAll('[data-pressed]').forEach((old) => delete old.dataset.pressed);
                one.dataset.pressed = '1';
                return '';
            }})()",
            json!(words)
        ));
        assert_eq!(marked, json!(""), "{words}");
        self.click("[data-pressed]", [0.5, 0.5]);
    }

    /// Types into the field whose label begins so.
    #[track_caller]
    pub fn fill_words(&mut self, label: &str, text: &str) {
        self.settle();
        let id = self.run(&format!(
            "[...document.querySelectorAll('label')].find((one) => one.checkVisibility({{ visibilityProperty: true }}) && one.textContent.trim().startsWith({}))?.htmlFor ?? null",
            json!(label)
        ));
        let id = id
            .as_str()
            .unwrap_or_else(|| panic!("no field is called {label}"));
        self.fill(&format!("#{id}"), text);
    }

    /// Presses a key as the keyboard does, by its name (`Tab`, `Enter`, `ArrowLeft`).
    #[track_caller]
    pub fn key(&mut self, key: &str, shift: bool) {
        let code = match key {
            "Backspace" => 8,
            "Tab" => 9,
            "Enter" => 13,
            "Escape" => 27,
            "ArrowLeft" => 37,
            "ArrowUp" => 38,
            "ArrowRight" => 39,
            "ArrowDown" => 40,
            _ => 0,
        };
        let mut params = json!({
            "type": "keyDown", "key": key, "code": key, "windowsVirtualKeyCode": code, "modifiers": if shift { 8 } else { 0 },
        });
        if key == "Enter" {
            params["text"] = json!("\r");
        }
        self.call("Input.dispatchKeyEvent", params.clone());
        params["type"] = json!("keyUp");
        params.as_object_mut().unwrap().remove("text");
        self.call("Input.dispatchKeyEvent", params);
    }

    /// Chooses a file in a field for files.
    #[track_caller]
    pub fn choose(&mut self, selector: &str, file: &Path) {
        self.settle();
        let root = self.call("DOM.getDocument", json!({}));
        let query = json!({ "nodeId": root["root"]["nodeId"], "selector": selector });
        let field = self.call("DOM.querySelector", query);
        let files = json!({ "nodeId": field["nodeId"], "files": [file] });
        self.call("DOM.setFileInputFiles", files);
    }

    /// What the accessibility checker minds on the page as it is (WCAG 2.2 A and AA); nothing where it is not installed.
    #[track_caller]
    pub fn minded(&mut self, checker: Option<&str>) -> Vec<String> {
        let Some(checker) = checker else {
            return Vec::new();
        };
        if self.run("typeof axe === 'undefined'") == json!(true) {
            self.run(&format!("{checker};0"));
        }
        // What stays at the lower edge of the window lies over something at every place of scrolling, and the checker counts
        // what is covered as small. It can be scrolled free: the walk by keys asks that nothing reached is hidden.
        let edge = |how: &str| {
            format!("document.querySelectorAll('.onward').forEach(e => {{ e.style.position = '{how}'; }}), 0")
        };
        self.run(&edge("static"));
        let found = self.run(
            "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }).then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html.slice(0, 160)).join(' | ')))",
        );
        self.run(&edge(""));
        let found = found.as_array().unwrap();
        found.iter().map(Value::to_string).collect()
    }

    /// Keeps the page as it is printed under `target/studio-pages`.
    #[track_caller]
    pub fn print(&mut self, name: &str) {
        self.settle();
        let a4 = json!({ "paperWidth": 8.27, "paperHeight": 11.69, "printBackground": true });
        let printed = self.call("Page.printToPDF", a4);
        keep(&format!("{name}.pdf"), &printed["data"]);
    }

    /// Keeps a picture of the whole page under `target/studio-pages`.
    #[track_caller]
    pub fn shot(&mut self, name: &str) {
        self.settle();
        let shot = self.call(
            "Page.captureScreenshot",
            json!({ "format": "webp", "quality": 80, "captureBeyondViewport": true }),
        );
        keep(&format!("{name}.webp"), &shot["data"]);
    }
}

fn keep(name: &str, base64: &Value) {
    let folder = target().join("studio-pages");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(name), from_base64(base64.as_str().unwrap())).unwrap();
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The folder that Cargo builds into.
pub fn target() -> PathBuf {
    let binary = Path::new(env!("CARGO_BIN_EXE_lorod"));
    binary.ancestors().nth(2).unwrap().to_path_buf()
}

/// The accessibility checker that `cargo xtask check` installs.
pub fn checker() -> Option<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(2).unwrap();
    let path = root.join("target/npm/node_modules/axe-core/axe.min.js");
    std::fs::read_to_string(path).ok()
}

fn chromium() -> Option<PathBuf> {
    let names = ["chromium", "chromium-browser", "google-chrome"];
    let paths = std::env::var_os("PATH")?;
    std::env::split_paths(&paths)
        .flat_map(|dir| names.map(|name| dir.join(name)))
        .find(|path| path.is_file())
}

/// RFC 4648, 4.
fn from_base64(text: &str) -> Vec<u8> {
    let value = |byte: u8| match byte {
        b'A'..=b'Z' => byte - b'A',
        b'a'..=b'z' => byte - b'a' + 26,
        b'0'..=b'9' => byte - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let digits: Vec<u8> = text.bytes().filter(|b| *b != b'=').map(value).collect();
    let mut bytes = Vec::new();
    for four in digits.chunks(4) {
        let bits = four
            .iter()
            .fold(0u32, |bits, digit| bits << 6 | u32::from(*digit))
            << (6 * (4 - four.len()));
        bytes.extend(&bits.to_be_bytes()[1..four.len()]);
    }
    bytes
}
