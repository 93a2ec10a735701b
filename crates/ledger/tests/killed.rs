//! What was acknowledged survives the sudden death of the program.
//!
//! The test starts itself as a child that appends and says each id once the append returned, and kills it (SIGKILL on
//! Unix) at a random moment. That shows the program's death, not a loss of power: no test on one machine shows that.

mod common;

use common::Folder;
use ledger::{Event, Measured, Sqlite, Store};
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, SystemTime};
use uuid::Uuid;

const CHILD: &str = "LOROD_LEDGER_TEST_CHILD";
const ROUNDS: u64 = 12;

#[test]
fn what_was_acknowledged_survives_a_kill() {
    if let Some(path) = std::env::var_os(CHILD) {
        append_until_killed(Path::new(&path));
    }
    let folder = Folder::fresh();
    let seed = SystemTime::UNIX_EPOCH.elapsed().unwrap().as_nanos() as u64;
    let (mut acknowledged, mut sizes) = (BTreeSet::new(), Vec::new());
    for round in 0..ROUNDS {
        let draw = mix(seed ^ round);
        let ids = run_and_kill(
            &folder.ledger(),
            draw % 30,
            Duration::from_micros(draw >> 8 & 0x1fff),
        );
        sizes.push(ids.len());
        acknowledged.extend(ids);
        let store = Sqlite::open(&folder.ledger()).unwrap();
        let mut there = BTreeSet::new();
        store
            .walk(0, &mut |entry| {
                there.insert(entry.event.id());
                Ok(())
            })
            .unwrap();
        let lost: Vec<_> = acknowledged.difference(&there).collect();
        assert!(lost.is_empty(), "seed {seed}, round {round}: {lost:?} were lost");
        // Appended and not yet said: at most the one (two events) in work when the child died, each round.
        let unsaid = there.len() - acknowledged.len();
        assert!(
            unsaid as u64 <= 2 * (round + 1),
            "seed {seed}, round {round}: {unsaid}"
        );
        assert_eq!(there.len() % 2, 0, "seed {seed}, round {round}: half an append");
    }
    let said: usize = sizes.iter().sum();
    assert!(
        said > ROUNDS as usize,
        "seed {seed}: hardly anything was tried: {sizes:?}"
    );
}

/// Two events at a time, said as two ids in one line after the append.
fn append_until_killed(path: &Path) -> ! {
    let mut store = Sqlite::open(path).unwrap();
    let mut out = std::io::stdout();
    for n in 1.. {
        let reading = |unit: &str| Measured {
            what: "bath".into(),
            value: f64::from(n),
            unit: unit.into(),
            n: 1,
        };
        let events = ["C", "pH"].map(|unit| Event::record("child", reading(unit)).unwrap());
        let receipts = store.append(&events).unwrap();
        let ids: Vec<String> = receipts.iter().map(|r| r.id.to_string()).collect();
        writeln!(out, "acknowledged {}", ids.join(" ")).unwrap();
        out.flush().unwrap();
    }
    unreachable!("killed long before")
}

/// Kills the child some time after its line number `after`; returns the ids that it acknowledged.
fn run_and_kill(path: &Path, after: u64, pause: Duration) -> Vec<Uuid> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "what_was_acknowledged_survives_a_kill", "--nocapture"])
        .env(CHILD, path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap());
    let mut ids = Vec::new();
    let (mut line, mut seen) = (String::new(), 0);
    while lines.read_line(&mut line).unwrap() > 0 {
        // The test harness has lines of its own, and may begin ours with the test's name. A line without its end is
        // not an acknowledgement.
        if let Some((_, said)) = line.split_once("acknowledged ").filter(|_| line.ends_with('\n')) {
            ids.extend(said.split_whitespace().map(|id| Uuid::try_parse(id).unwrap()));
            seen += 1;
            if seen == after + 1 {
                std::thread::sleep(pause);
                child.kill().unwrap();
            }
        }
        line.clear();
    }
    child.wait().unwrap();
    ids
}

/// SplitMix64.
fn mix(n: u64) -> u64 {
    let n = n.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let n = (n ^ (n >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let n = (n ^ (n >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    n ^ (n >> 31)
}
