//! Reads instances kept as JSON.
#![allow(dead_code)]

use plan::*;
use serde_json::Value;
use std::collections::HashMap;

fn file(name: &str) -> String {
    let path = format!("{}/tests/data/{name}.json", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// A workshop's problem, and the best total known before.
pub fn instance(name: &str) -> (Problem, f64) {
    let text = file(name);
    let best = serde_json::from_str::<Value>(&text).unwrap()["best_known"].as_f64();
    (read(&text), best.unwrap())
}

/// Names of the job shops.
pub fn job_shops() -> Vec<String> {
    let all: Value = serde_json::from_str(&file("job_shops")).unwrap();
    let names = all.as_object().unwrap().keys().filter(|k| *k != "about");
    names.cloned().collect()
}

/// A job shop as a problem (one bolt a lot, one machine an operation, always open), and its least makespan.
pub fn job_shop(name: &str) -> (Problem, Minute) {
    let all: Value = serde_json::from_str(&file("job_shops")).unwrap();
    let jobs: Vec<Vec<(usize, Minute)>> = serde_json::from_value(all[name]["jobs"].clone()).unwrap();
    let machines = jobs[0].len();
    let lot = |(i, job): (usize, &Vec<(usize, Minute)>)| Lot {
        name: format!("job {i}"),
        bolts: 1,
        release: 0,
        due: 100_000,
        weight: 1,
        approval: None,
        route: job
            .iter()
            .map(|(m, d)| Operation::new(&format!("m{m}"), *d, CalendarId(0)).holding(ResourceId(*m), 1))
            .collect(),
        lags: Vec::new(),
    };
    let problem = Problem {
        first_day: sky::Date::default(),
        calendars: vec![Calendar {
            name: "always".into(),
            windows: vec![Window::new(0, 20_000)],
        }],
        resources: (0..machines)
            .map(|m| Resource {
                name: format!("m{m}"),
                capacity: 1,
                set_up: Vec::new(),
            })
            .collect(),
        lots: jobs.iter().enumerate().map(lot).collect(),
        weights: Weights {
            tardiness: 0,
            makespan: 1,
            mean_flow: 0,
            origin: 0,
        },
    };
    (problem, all[name]["optimum"].as_i64().unwrap())
}

fn minutes(v: &Value) -> Minute {
    v.as_i64().unwrap_or_else(|| panic!("a whole number, not {v}"))
}

/// The problem of an instance file.
pub fn read(text: &str) -> Problem {
    let v: Value = serde_json::from_str(text).unwrap();
    let mut calendar_of = HashMap::new();
    let mut calendars = Vec::new();
    for (name, windows) in v["calendars"].as_object().unwrap() {
        calendar_of.insert(name.clone(), CalendarId(calendars.len()));
        let windows = windows
            .as_array()
            .unwrap()
            .iter()
            .map(|w| Window::new(minutes(&w[0]), minutes(&w[1])));
        calendars.push(Calendar {
            name: name.clone(),
            windows: windows.collect(),
        });
    }
    let mut resource_of = HashMap::new();
    let mut resources = Vec::new();
    for (name, capacity) in v["resources"].as_object().unwrap() {
        resource_of.insert(name.clone(), ResourceId(resources.len()));
        let matrix = v["setups"][name]["matrix"].as_array().map(|rows| {
            rows.iter()
                .map(|r| r.as_array().unwrap().iter().map(minutes).collect())
                .collect()
        });
        resources.push(Resource {
            name: name.clone(),
            capacity: minutes(capacity) as u32,
            set_up: matrix.unwrap_or_default(),
        });
    }
    let lots = v["lots"].as_array().unwrap();
    let lot_of: HashMap<&str, usize> = lots
        .iter()
        .enumerate()
        .map(|(i, l)| (l["id"].as_str().unwrap(), i))
        .collect();
    let calendar = |v: &Value| calendar_of[v.as_str().unwrap()];
    let resource = |v: &Value| resource_of[v.as_str().unwrap()];
    let operation = |o: &Value| {
        let uses: Vec<Use> = o["uses"]
            .as_array()
            .unwrap()
            .iter()
            .map(|u| Use {
                resource: resource(&u[0]),
                quantity: minutes(&u[1]) as u32,
                from: minutes(&u[2]),
                to: Some(minutes(&u[3])).filter(|t| *t >= 0),
            })
            .collect();
        let set_up = o.get("setup").map(|c| SetUp {
            resource: uses[0].resource,
            class: minutes(c) as usize,
        });
        let batch = o.get("batch").map(|b| Batch {
            vessel: uses[0].resource,
            capacity: minutes(&b["cap"]) as u32,
            family: b["family"].as_str().unwrap().to_string(),
        });
        Operation {
            key: o["id"].as_str().unwrap().to_string(),
            duration: o.get("dur").map_or(0, minutes),
            of_bolts: Vec::new(),
            calendar: calendar(&o["cal"]),
            pausable: o["split"].as_bool().unwrap(),
            uses,
            attend: o.get("attend").map(|a| Attendance {
                from: minutes(&a[0]),
                to: minutes(&a[1]),
                calendar: calendar(&a[2]),
            }),
            batch,
            set_up,
            modes: o["modes"].as_array().map_or(Vec::new(), |m| {
                m.iter()
                    .map(|m| Mode {
                        resource: resource(&m["res"]),
                        duration: minutes(&m["dur"]),
                    })
                    .collect()
            }),
        }
    };
    let lots = lots
        .iter()
        .map(|l| {
            let route: Vec<Operation> = l["route"].as_array().unwrap().iter().map(operation).collect();
            let place = |v: &Value| route.iter().position(|o| o.key == v.as_str().unwrap()).unwrap();
            let lags = l["lags"].as_array().unwrap().iter().map(|g| Lag {
                from: place(&g["frm"]),
                to: place(&g["to"]),
                least: minutes(&g["min"]),
                most: g["max"].as_i64(),
            });
            let lags = lags.collect();
            let a = &l["approval"];
            let approval = (!a.is_null()).then(|| Approval {
                duration: minutes(&a["dur"]),
                calendar: calendar(&a["cal"]),
                resource: resource(&a["res"]),
                after_lot: a["after_lot"].as_str().map(|n| lot_of[n]),
            });
            Lot {
                name: l["id"].as_str().unwrap().to_string(),
                bolts: minutes(&l["n"]) as u32,
                release: minutes(&l["release"]),
                due: minutes(&l["due"]),
                weight: minutes(&l["weight"]) as u32,
                approval,
                route,
                lags,
            }
        })
        .collect();
    let o = &v["objective"];
    let weights = Weights {
        tardiness: minutes(&o["tardiness"]) as u32,
        makespan: minutes(&o["makespan"]) as u32,
        mean_flow: minutes(&o["mean_flow"]) as u32,
        origin: minutes(&o["origin"]),
    };
    // Day 0 of the instances is a Monday; which one does not matter.
    let first_day = sky::Date::parse("2026-01-05").unwrap();
    Problem {
        first_day,
        calendars,
        resources,
        lots,
        weights,
    }
}

/// The schedule as JSON: bolts by name, operations by key, `[start, end]` or `[start, end, resource]`.
pub fn write(problem: &Problem, schedule: &Schedule) -> String {
    let mut bolts = serde_json::Map::new();
    for (at, p) in &schedule.placed {
        let operation = &problem.lots[at.lot].route[at.operation];
        let mut entry = vec![Value::from(p.start), Value::from(p.end)];
        if let Some(m) = p.mode {
            entry.push(Value::from(problem.resource_name(operation.modes[m].resource)));
        }
        let bolt = bolts
            .entry(problem.bolt_name(at.lot, at.bolt))
            .or_insert_with(|| Value::Object(Default::default()));
        bolt.as_object_mut()
            .unwrap()
            .insert(operation.key.clone(), Value::from(entry));
    }
    let approvals: serde_json::Map<String, Value> = schedule
        .approvals
        .iter()
        .map(|(l, w)| (problem.lots[*l].name.clone(), Value::from(vec![w.start, w.end])))
        .collect();
    serde_json::json!({ "bolts": bolts, "approvals": approvals }).to_string()
}
