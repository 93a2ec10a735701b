//! The finished cloth under three lamps, and how far its colours move.

use crate::studio::Studio;
use crate::studio::known::rests_on;
use crate::studio::parts::work;
use crate::studio::picture::across;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use ::colour::Illuminant;
use maud::{Markup, html};
use route::Design;
use words::{Arg, Voice, say, text};
use workspace::Workspace;

/// Pixels across of a hung cloth.
const WIDE: f64 = 560.0;
/// Colours that move farther than this look other on cloth, CIEDE2000 (common practice, no source).
const SEEN: f64 = 3.0;

/// Three cloths on a rope.
pub fn section(studio: &Studio, workspace: &Workspace, design: &Design, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let known = rests_on(workspace, &design.id).and_then(|key| studio.answers().lamps.get(&key));
    let cut = across(design, WIDE);
    let (wide, high) = cut.size();
    let step = design.steps.last().map_or("", |s| s.id.as_str());
    let plain = cut.href(studio, design, step, 0);
    html! {
        h2 #lamps-q { (t(text!("Does the cloth keep its colours under a lamp?", "Apakah warna kain tetap di bawah lampu?"), voice)) }
        @match &known {
            Some(known) => p.say { (answer([known[0].mean, known[1].mean], voice)) },
            None => (work(
                &format!("/api/design/{}/lamps", escape(&design.id)),
                t(text!("Looking at the cloth under three lamps", "Melihat kain di bawah tiga lampu"), voice),
                None,
                &reader.here(&[]),
                voice,
            )),
        }
        div.line.lamps {
            svg.rope viewBox="0 0 1000 34" preserveAspectRatio="none" aria-hidden="true" { path d="M0 6 Q500 38 1000 6" {} }
            ul {
                @for (at, lamp) in Illuminant::ALL.into_iter().enumerate() {
                    li class=(["sag-15", "sag-22", "sag-15"][at]) {
                        div.hanging {
                            span.peg {}
                            img.hang.pinked data-frame=(format!("lamp-{}", lamp.key())) src=(format!("{plain}&lamp={}", lamp.key())) width=(wide) height=(high) loading="lazy"
                                alt=(format!("{}: {}", design.name, t(&lamp.term().text, voice)));
                        }
                        h3 { (t(&lamp.term().text, voice)) " " span.code { (lamp.key()) } }
                        p.small { (t(&lamp.term().gloss, voice)) }
                        @if let (Some(known), 1..) = (&known, at) {
                            @let moved = known[at - 1];
                            p.small { (say!(
                                "Colours move by {mean} on average, 95 of 100 places by no more than {most} (CIEDE2000).",
                                "Warna bergeser rata-rata {mean}, 95 dari 100 tempat tidak lebih dari {most} (CIEDE2000).",
                                mean = Arg::Number(moved.mean, 1),
                                most = Arg::Number(moved.most, 1)
                            ).say(voice)) }
                        }
                    }
                }
            }
        }
        p.small.measure { (t(text!(
            "As an eye sees it that is used to each lamp: white cloth stays white (Bradford transform). What moves is told from daylight (D65).",
            "Seperti dilihat mata yang sudah terbiasa dengan tiap lampu: kain putih tetap putih (transformasi Bradford). Pergeseran dihitung dari cahaya siang (D65)."
        ), voice)) }
    }
}

fn answer(moved: [f64; 2], voice: Voice) -> String {
    let worst = moved[0].max(moved[1]);
    let lamp = Illuminant::ALL[if moved[0] >= moved[1] { 1 } else { 2 }];
    let (lamp, off) = (Arg::Term(lamp.term()), Arg::Number(worst, 1));
    if worst <= SEEN {
        say!(
            "Yes: it changes most under the {lamp}, by {off} on average, which few will see.",
            "Ya: paling berubah di bawah {lamp}, rata-rata {off}, hampir tak terlihat.",
            lamp = lamp,
            off = off
        )
    } else {
        say!(
            "Not quite: under the {lamp} colours move by {off} on average. Show it to buyers in daylight and under their lamp.",
            "Tidak sepenuhnya: di bawah {lamp} warna bergeser rata-rata {off}. Tunjukkan ke pembeli di cahaya siang dan di bawah lampunya.",
            lamp = lamp,
            off = off
        )
    }
    .say(voice)
}
