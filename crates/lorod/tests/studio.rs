//! The studio in a real browser: the modules run under the policy, the cloth arrives, and Ctrl-C ends it.

mod common;

use common::Scratch;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A studio that is killed if the test ends early.
struct Running {
    child: Child,
    address: String,
}

impl Running {
    fn start(scratch: &Scratch) -> Self {
        let dir = scratch.path("demo");
        let mut child = scratch
            .command(&[
                "studio",
                dir.to_str().unwrap(),
                "--port",
                "0",
                "--from",
                "2026-11-26",
            ])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let address = lines
            .by_ref()
            .find_map(|line| Some(line.ok()?.split_once("http://")?.1.split('/').next()?.to_string()))
            .expect("the studio tells its address");
        // What it says later must not fill the pipe.
        std::thread::spawn(move || lines.for_each(drop));
        Self { child, address }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn chromium() -> Option<PathBuf> {
    let names = ["chromium", "chromium-browser", "google-chrome"];
    let paths = std::env::var_os("PATH")?;
    std::env::split_paths(&paths)
        .flat_map(|dir| names.map(|name| dir.join(name)))
        .find(|path| path.is_file())
}

/// What a browser makes of a page, and what it complains of.
fn dom(browser: &PathBuf, scratch: &Scratch, address: &str) -> (String, String) {
    let profile = scratch.path("profile");
    let output = Command::new(browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-sync",
        ])
        .args([
            "--disable-background-networking",
            "--disable-component-update",
            "--enable-logging=stderr",
        ])
        .arg(format!("--user-data-dir={}", profile.display()))
        .args([
            "--window-size=1440,1600",
            "--virtual-time-budget=60000",
            "--timeout=120000",
            "--dump-dom",
            address,
        ])
        .output()
        .unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (text(&output.stdout), text(&output.stderr))
}

#[test]
fn the_pages_live_in_a_browser_and_ctrl_c_ends_them() {
    let scratch = Scratch::with_demo(&["tide-pool"]);
    let mut studio = Running::start(&scratch);
    match chromium() {
        None => eprintln!("SKIPPED: no chromium on this machine, so no page was opened in a browser"),
        Some(browser) => {
            let (page, complaints) = dom(
                &browser,
                &scratch,
                &format!("http://{}/design/tide-pool", studio.address),
            );
            assert!(!complaints.contains("Content Security Policy"), "{complaints}");
            assert!(!complaints.contains("Uncaught"), "{complaints}");
            // All pictures of the table are there, the slider is out, the palette was fetched and laid in place.
            assert!(page.contains("class=\"table ready\""), "{page}");
            assert!(page.contains("--seam: 54%"), "{page}");
            let slider = page
                .split("<input class=\"pull\"")
                .nth(1)
                .and_then(|rest| rest.split('>').next())
                .unwrap();
            assert!(
                !slider.contains("hidden") && slider.contains("aria-valuetext"),
                "{slider}"
            );
            assert!(page.contains("class=\"yarns\""), "{page}");
        }
    }
    ctrl_c(&mut studio);
}

#[cfg(unix)]
fn ctrl_c(studio: &mut Running) {
    let pid = studio.child.id().to_string();
    assert!(
        Command::new("kill")
            .args(["-INT", &pid])
            .status()
            .unwrap()
            .success()
    );
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = studio.child.try_wait().unwrap() {
            break status;
        }
        assert!(
            begun.elapsed() < Duration::from_secs(20),
            "the studio does not end"
        );
        std::thread::sleep(Duration::from_millis(50));
    };
    assert!(status.success(), "{status}");
}

#[cfg(not(unix))]
fn ctrl_c(_: &mut Running) {}
