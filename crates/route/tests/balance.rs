//! Laws that every operation keeps, over the one list of operations: nothing appears and nothing vanishes.

mod common;

use common::{Checked, before, cloth, design, dyed_means, every_operation, shop, step};
use route::{DYES, LotShape, Means, OPERATIONS};
use units::System;
use words::{Language, Line, Term, Text, Voice, check_text};

/// Dye put on less dye lost is the change of dye on the cloth, for every dye, to a billionth of it; so for wax.
#[test]
fn dye_and_wax_are_kept_in_every_operation() {
    let (design, shop, lot) = (design(), shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    for operation in every_operation() {
        for folded in [false, true] {
            let mut means = dyed_means();
            means.folded = folded;
            means.layers = if folded { 3.44 } else { 1.0 };
            means.soda = 0.007;
            means.soda_cover = 0.25;
            let start = means.clone();
            let takes = operation.tally(&mut means, &design, &lot, &shop);
            let key = operation.kind().key;
            for dye in 0..DYES {
                let put: f64 = takes
                    .put
                    .iter()
                    .filter(|(d, _)| *d == dye)
                    .map(|(_, amount)| amount)
                    .sum();
                let lost: f64 = takes
                    .lost
                    .iter()
                    .filter(|(d, ..)| *d == dye)
                    .map(|(.., amount)| amount)
                    .sum();
                let change = means.dye(dye) - start.dye(dye);
                let scale = start.dye(dye).max(put).max(1.0);
                assert!(
                    (put - lost - change).abs() < 1e-9 * scale,
                    "{key}: dye {dye}: {put} - {lost} is not {change}"
                );
                assert!(lost >= -1e-12, "{key}: dye {dye} lost {lost}");
            }
            let area = lot.area().0;
            let off: f64 = takes.wax_off.iter().map(|(_, kg)| kg).sum();
            let change = (means.mean(|z| z.wax) - start.mean(|z| z.wax)) * area;
            assert!(
                (takes.wax_put - off - change).abs() < 1e-9,
                "{key}: wax {} - {off} is not {change}",
                takes.wax_put
            );
            sound(key, &means);
        }
    }
}

/// Nothing on the cloth is negative, NaN or endless; shares are shares.
fn sound(key: &str, means: &Means) {
    for zone in means.zones() {
        for amount in zone
            .loose
            .iter()
            .chain(&zone.spent)
            .chain(&zone.fast)
            .chain([&zone.wax])
        {
            assert!(amount.is_finite() && *amount >= 0.0, "{key}: {amount}");
        }
    }
    let shares: f64 = means.zones().iter().map(|z| z.share).sum();
    assert!((shares - 1.0).abs() < 1e-12, "{key}: zones add up to {shares}");
    assert!(
        means.water.is_finite() && means.water >= 0.0 && means.soda >= 0.0,
        "{key}"
    );
    assert!(
        (0.0..=1.0).contains(&means.soda_cover) && means.layers >= 1.0,
        "{key}"
    );
}

fn voices() -> [Voice; 2] {
    [Language::En, Language::Id].map(|language| Voice {
        language,
        system: System::Metric,
    })
}

/// A line says the same arguments in both languages, leaves none unsaid, and prints no point between digits in
/// Indonesian.
fn said(key: &str, line: &Line) {
    if let Some(fault) = check_text(line.text) {
        panic!("{key}: {fault}");
    }
    for voice in voices() {
        let text = line.say(voice);
        assert!(!text.contains(['{', '}']), "{key}: {text}");
        assert!(!text.contains("NaN"), "{key}: {text}");
        let chars: Vec<char> = text.chars().collect();
        let point = chars
            .windows(3)
            .any(|w| w[0].is_ascii_digit() && w[1] == '.' && w[2].is_ascii_digit());
        assert!(voice.language == Language::En || !point, "{key}: {text}");
    }
}

fn texts_of(term: &Term) -> [Text; 2] {
    [term.text, term.gloss]
}

#[test]
fn texts_of_every_kind_agree_in_both_languages() {
    for kind in OPERATIONS {
        let mut texts = texts_of(&kind.term).to_vec();
        texts.extend(kind.settings.iter().flat_map(|s| texts_of(&s.term)));
        for setting in kind.settings {
            if let route::Shape::Choice(terms) = setting.shape {
                texts.extend(terms.iter().flat_map(|t| texts_of(t)));
            }
            assert!(
                !setting.source.is_empty(),
                "{}.{} has no source",
                kind.key,
                setting.key
            );
        }
        texts.extend(kind.constants.iter().map(|c| c.text));
        texts.extend(kind.cautions.iter().map(|c| c.text));
        texts.extend(kind.asks.iter().flat_map(|a| texts_of(&a.term)));
        for text in &texts {
            if let Some(fault) = check_text(text) {
                panic!("{}: {fault}", kind.key);
            }
        }
        for constant in kind.constants {
            assert!(
                constant.factor >= 1.0 && !constant.source.is_empty(),
                "{}",
                constant.key
            );
            assert!(constant.value.is_finite(), "{}", constant.key);
        }
    }
}

/// Defaults that are given can be read; a window's setting exists.
#[test]
fn tables_of_every_kind_are_sound() {
    for kind in OPERATIONS {
        for setting in kind.settings {
            assert!(
                setting.default.is_none() || setting.default_value().is_some(),
                "{}.{}",
                kind.key,
                setting.key
            );
        }
        if let Some(timed) = kind.timed {
            assert!(
                kind.settings.iter().any(|s| s.key == timed),
                "{}: no setting {timed}",
                kind.key
            );
        }
        assert!(kind.model >= 1, "{}", kind.key);
    }
}

/// Every line that is said about a step, on white cloth and on dyed, folded or open, wet or dry.
#[test]
fn lines_of_every_operation_can_be_said() {
    let (shop, lot) = (shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    for operation in every_operation() {
        let key = operation.kind().key;
        let mut design = design();
        design.steps.push(step("step", operation.clone()));
        let dry = Means {
            water: 0.05,
            ..Means::default()
        };
        let folded = Means {
            folded: true,
            layers: 3.44,
            soda: 0.005,
            soda_cover: 0.2,
            ..dyed_means()
        };
        for means in [Means::default(), dry, dyed_means(), folded] {
            for finding in operation.examine(&before(&design, 0, &means, &lot, &shop, &Checked)) {
                for line in [
                    Some(&finding.found),
                    finding.allowed.as_ref(),
                    finding.remedy.as_ref(),
                ]
                .into_iter()
                .flatten()
                {
                    said(finding.code, line);
                }
            }
            let mut after = means.clone();
            let takes = operation.tally(&mut after, &design, &lot, &shop);
            let instructions = operation.instructs(&takes, &design, &lot, &shop);
            assert!(!instructions.lines.is_empty(), "{key}");
            for line in instructions.lines.iter().chain([&instructions.done_when]) {
                said(key, line);
            }
        }
    }
}

/// Work is least, likely, most; lags leave room; only calendars that every workshop has are asked for.
#[test]
fn tasks_of_every_operation_can_be_planned() {
    let (design, shop, lot) = (design(), shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    for operation in every_operation() {
        let key = operation.kind().key;
        let tasks = operation.occupies(&dyed_means(), &design, &lot, &shop);
        assert!(!tasks.is_empty(), "{key}");
        for task in tasks {
            let work = task.work;
            assert!(
                work.least.0 > 0.0 && work.least <= work.likely && work.likely <= work.most,
                "{key}: {work:?}"
            );
            assert!(work.most.0.is_finite(), "{key}");
            assert!(
                ["shop", "table", "sun", "fire"].contains(&task.calendar),
                "{key}: {}",
                task.calendar
            );
            assert!(
                task.then.most.is_none_or(|most| task.then.least <= most),
                "{key}: {:?}",
                task.then
            );
            for place in &task.uses {
                assert!(
                    place.count >= 1 && place.to.is_none_or(|to| place.from < to),
                    "{key}: {place:?}"
                );
            }
        }
    }
}
