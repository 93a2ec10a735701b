//! A studio as a person starts it.

use super::Scratch;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A studio that is killed if the test ends early.
pub struct Running {
    child: Child,
    /// Host and port.
    pub address: String,
}

impl Running {
    /// Starts it on the folder `demo` of the scratch; port 0 lets the system choose.
    pub fn start(scratch: &Scratch, port: u16) -> Self {
        let dir = scratch.path("demo");
        let mut child = scratch
            .command(&[
                "studio",
                dir.to_str().unwrap(),
                "--port",
                &port.to_string(),
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

    /// Ends it as a person does, and waits until it has ended well.
    pub fn ctrl_c(&mut self) {
        let pid = self.child.id().to_string();
        assert!(
            Command::new("kill")
                .args(["-INT", &pid])
                .status()
                .unwrap()
                .success()
        );
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
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
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
