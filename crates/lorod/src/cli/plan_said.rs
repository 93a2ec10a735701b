//! What `lorod plan` says: a line for each lot and how sure its promise is.

use super::table::Table;
use crate::facts::plan::Planned;
use crate::facts::sure::Sure;
use ::plan::{Minute, Share};
use words::{Arg, Text, Voice, say, text};
use workspace::Workspace;

/// What the replays say as text: a line for each lot.
pub fn promises(planned: &Planned, sure: &Sure, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let problem = &planned.mapped.problem;
    let percent = |share: Share| {
        let number = |part: f64| Arg::Number(part * 100.0, 0);
        let (value, error) = (number(share.value), number(share.error.max(0.01)));
        say!("{p} % (± {e})", "{p} % (± {e})", p = value, e = error).say(voice)
    };
    let mut table = Table::new(&[false, true, false, false, false]);
    table.row([
        raw(text!("lot", "partai")),
        raw(text!("on this truck", "ikut truk ini")),
        raw(text!("half by", "separuh sebelum")),
        raw(text!("nine of ten by", "sembilan dari sepuluh sebelum")),
        raw(text!("promised", "janji")),
    ]);
    for (lot, promise) in problem.lots.iter().zip(&sure.replays.lots) {
        let clock = |end: Option<Minute>| end.map_or_else(|| "-".to_string(), |m| problem.clock(m));
        table.row([
            lot.name.clone(),
            percent(promise.on_time),
            clock(promise.p50),
            clock(promise.p90),
            clock(Some(lot.due)),
        ]);
    }
    let all = say!(
        "all on time: {share}, in {n} replays",
        "semua tepat waktu: {share}, dari {n} ulangan",
        share = Arg::Name(percent(sure.replays.all_on_time)),
        n = Arg::Number(f64::from(sure.replays.replays), 0)
    );
    let replays = &sure.replays;
    let mut doubts = String::new();
    if replays.longest_over > 0 {
        let over = say!(
            "of the waits that have a limit {share} % are longer because work before them was slow: nine of ten of these by at most {p90} min, the longest by {hours} h",
            "dari semua tunggu yang dibatasi, {share} % lebih lama karena pekerjaan sebelumnya lambat: sembilan dari sepuluh paling banyak {p90} menit lebih lama, yang terlama {hours} jam",
            share = Arg::Number(replays.waits_over * 100.0, 1),
            p90 = Arg::Number(replays.over_p90 as f64, 0),
            hours = Arg::Number(replays.longest_over as f64 / 60.0, 1)
        );
        doubts += &format!("{}\n", over.say(voice));
    }
    if replays.stuck > 0 {
        let stuck = say!(
            "in {n} of them some work found no place any more between its limits; what that held up counts as late, so the shares above are the least there can be, and no forecast",
            "pada {n} ulangan ada pekerjaan yang tidak mendapat tempat lagi di antara batasnya; yang tertahan dihitung terlambat, jadi bagian di atas adalah yang paling sedikit, bukan ramalan",
            n = Arg::Number(f64::from(replays.stuck), 0)
        );
        doubts += &format!("{}\n", stuck.say(voice));
    }
    let rest = sure
        .findings
        .iter()
        .map(|finding| format!("  {}\n", finding.found.say(voice)));
    format!(
        "\n{}{}\n{doubts}{}",
        table.text(),
        all.say(voice),
        rest.collect::<String>()
    )
}

/// The plan as text: a line for each lot.
pub fn as_text(planned: &Planned, workspace: &Workspace, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let problem = &planned.mapped.problem;
    let mut table = Table::new(&[false, false, true, false, false, false, true]);
    table.row([
        raw(text!("lot", "partai")),
        raw(text!("design", "desain")),
        raw(text!("bolts", "gulung")),
        raw(text!("starts", "mulai")),
        raw(text!("done", "selesai")),
        raw(text!("promised", "janji")),
        raw(text!("spare", "sisa waktu")),
    ]);
    for (at, lot) in problem.lots.iter().enumerate() {
        let design = planned
            .mapped
            .lots
            .get(at)
            .and_then(|run| workspace.design(&run.design));
        let span = planned.span(at);
        let clock = |minute: Option<Minute>| minute.map_or_else(|| "-".to_string(), |m| problem.clock(m));
        let days = |minutes: Minute| Arg::Number(minutes.abs() as f64 / 1440.0, 1);
        let spare = match planned.late(at) {
            None => "-".to_string(),
            Some(late) if late > 0 => say!("{d} days LATE", "TERLAMBAT {d} hari", d = days(late)).say(voice),
            Some(late) => say!("{d} days", "{d} hari", d = days(late)).say(voice),
        };
        table.row([
            lot.name.clone(),
            design.map_or_else(String::new, |design| design.name.clone()),
            lot.bolts.to_string(),
            clock(span.map(|(start, _)| start)),
            clock(span.map(|(_, end)| end)),
            clock(Some(lot.due)),
            spare,
        ]);
    }
    table.text()
}
