//! The three sheets as text.

use super::super::table::Table;
use super::Ask;
use crate::facts::tank::{Known, Sheets, TINTS};
use cloth::window::{clock, millimetres};
use route::{Caution, DumpSheet};
use units::{Measure, Quantity, Span};
use words::{Arg, Line, Voice, say, text};

fn litres(l: f64) -> Arg {
    Arg::Quantity(Quantity::new(l / 1000.0, Measure::Volume))
}

fn strength(g_per_l: f64) -> Arg {
    Arg::Quantity(Quantity::new(g_per_l, Measure::PerVolume))
}

/// A volume as it was typed, for a reader of any language.
fn volume(typed: &str) -> Arg {
    units::parse(typed).map_or_else(
        || Arg::Name(typed.to_string()),
        |typed| Arg::Quantity(typed.quantity),
    )
}

/// What a hand can follow: whole 5 s.
fn by_hand(time: Span) -> Span {
    Span((time.0 / 5.0).round() * 5.0)
}

fn heading(sheets: &Sheets, of: Line, voice: Voice) -> String {
    say!(
        "{design}, {term} ({id}): {of}",
        "{design}, {term} ({id}): {of}",
        design = Arg::Name(sheets.tank.design.name.clone()),
        term = Arg::Term(sheets.tank.term),
        id = Arg::Name(sheets.tank.id.clone()),
        of = Arg::Name(of.say(voice))
    )
    .say(voice)
}

/// The bath: times and strengthening.
pub fn tank_page(sheets: &Sheets, ask: &Ask, voice: Voice) -> String {
    let mut lines = vec![bath_line(sheets, ask)];
    lines.extend(time_lines(sheets, voice));
    let mut page = heading(sheets, say!("the tank", "bak pemutih"), voice);
    page.push('\n');
    for line in &lines {
        page += &format!("  {}\n", line.say(voice));
    }
    if !sheets.batches.is_empty() {
        page.push('\n');
        page += &batches(sheets, voice);
        page.push('\n');
    }
    for line in dose_lines(sheets, ask) {
        page += &format!("  {}\n", line.say(voice));
    }
    page += &cautions(sheets.tank.cautions, voice);
    page
}

fn bath_line(sheets: &Sheets, ask: &Ask) -> Line {
    let temperature = Arg::Quantity(Quantity::new(sheets.now.temperature.0, Measure::Temperature));
    match (&ask.titrated, sheets.titrated) {
        (Some(ml), true) => say!(
            "{ml} of {n} N thiosulfate for {sample} of bath: {strength} available chlorine, {temperature}.",
            "{ml} tiosulfat {n} N untuk {sample} larutan bak: klorin aktif {strength}, {temperature}.",
            ml = volume(ml),
            n = Arg::Number(ask.normality, 2),
            sample = volume(&ask.sample),
            strength = strength(sheets.now.chlorine),
            temperature = temperature
        ),
        (_, true) => say!(
            "{strength} available chlorine, {temperature}.",
            "Klorin aktif {strength}, {temperature}.",
            strength = strength(sheets.now.chlorine),
            temperature = temperature
        ),
        _ => say!(
            "Not titrated: {strength} available chlorine and {temperature} are the design's.",
            "Belum dititrasi: klorin aktif {strength} dan {temperature} adalah angka desain.",
            strength = strength(sheets.now.chlorine),
            temperature = temperature
        ),
    }
}

fn time_lines(sheets: &Sheets, voice: Voice) -> Vec<Line> {
    let at = |span: Span| Arg::Name(clock(by_hand(span), voice));
    let mut lines = Vec::new();
    match (&sheets.strip, sheets.known) {
        (Some(read), _) => {
            lines.push(say!(
                "The strip says: clear ({clear} %) at {done}; lift the cloth at {lift}, {lag} before, since the bleach in it works on until antichlor.",
                "Potong uji: bersih ({clear} %) pada {done}; angkat kain pada {lift}, {lag} lebih awal, karena pemutih di kain masih bekerja sampai penetral.",
                clear = Arg::Number(TINTS.1 * 100.0, 0),
                done = at(read.clear),
                lift = at(read.lift),
                lag = at(sheets.now.lag)
            ));
            lines.push(match read.weaker {
                Some(late) => say!(
                    "Strength, temperature and pH are not asked: they are the same for strip and cloth. If the bath weakens as a load makes it, the cloth is clear {late} later.",
                    "Kekuatan, suhu, dan pH tidak ditanya: sama bagi potong uji dan kain. Bila bak melemah seperti biasa oleh satu muatan, kain bersih {late} kemudian.",
                    late = at(late)
                ),
                None => say!(
                    "If the bath weakens as a load makes it, the cloth is never clear: strengthen it.",
                    "Bila bak melemah seperti biasa oleh satu muatan, kain tidak akan bersih: kuatkan bak."
                ),
            });
        }
        (None, Known::ByRates) => lines.push(say!(
            "Times are the design's {time} at {strength}, brought to this bath by dose and temperature; rates were measured here.",
            "Waktu dihitung dari {time} pada {strength} menurut desain, disesuaikan dengan dosis dan suhu bak ini; laju sudah diukur di sini.",
            time = at(sheets.tank.time),
            strength = strength(sheets.tank.designed.chlorine)
        )),
        (None, _) => {
            let dye = sheets
                .tank
                .slowest
                .as_ref()
                .map_or_else(String::new, |d| d.name.clone());
            lines.push(say!(
                "No pull time yet: how fast {dye} clears is only assumed. Hang an unwaxed strip of this dyeing in first, note when it reaches the printed 10 % tint, and ask again with {option}.",
                "Belum ada waktu angkat: kecepatan cabut {dye} masih perkiraan. Gantung dulu potong uji tanpa malam, catat saat mencapai warna cetak 10 %, lalu tanya lagi dengan {option}.",
                dye = Arg::Name(dye),
                option = Arg::Name("--strip M:SS".into())
            ));
        }
    }
    // Never told longer than the wax stands.
    let longest = sheets.longest.map(|t| Span((t.0 / 10.0 + 1e-9).floor() * 10.0));
    if let (Some(longest), Some(line)) = (longest, sheets.tank.line()) {
        let line = || Arg::Name(millimetres(line, voice));
        let lift = sheets.batches.first().map(|batch| batch.strengthened_time);
        lines.push(match lift {
            Some(lift) if lift.0 > longest.0 => say!(
                "That is longer than the thinnest lines stand, {line} wide: after {longest} two fifths of them are left. See {window}.",
                "Itu lebih lama dari ketahanan garis tertipis, lebar {line}: sesudah {longest} tersisa dua perlimanya. Lihat {window}.",
                line = line(),
                longest = at(longest),
                window = Arg::Name("lorod window".into())
            ),
            _ => say!(
                "Whatever the strength, not longer than {longest}: the thinnest lines, {line} wide, must stand.",
                "Berapa pun kekuatannya, jangan lebih dari {longest}: garis tertipis, lebar {line}, harus tetap ada.",
                longest = at(longest),
                line = line()
            ),
        });
    }
    if sheets.known != Known::Not && (sheets.batches.len() as u32) < sheets.left {
        lines.push(say!(
            "Later loads would take longer than the wax stands: they need a stronger bath, and no stock is known that gives it ({option}).",
            "Muatan berikutnya perlu lebih lama dari ketahanan malam: bak harus dikuatkan, dan stok penguatnya belum diketahui ({option}).",
            option = Arg::Name("--stock".into())
        ));
    }
    if sheets.left == 0 {
        lines.push(say!(
            "This bath has had its loads: empty it (its own sheet) and make a new one.",
            "Muatan bak ini sudah penuh: kosongkan (lihat lembarnya) lalu buat baru."
        ));
    }
    lines
}

fn batches(sheets: &Sheets, voice: Voice) -> String {
    let raw = |text: &words::Text| text.raw(voice.language).to_string();
    let mut table = Table::new(&[true, true, true, true, true, false]);
    table.row([
        raw(text!("load", "muatan")),
        raw(text!("strength", "kekuatan")),
        raw(text!("add stock first", "tambah stok dulu")),
        raw(text!("lift at", "angkat pada")),
        raw(text!("thinnest line left", "sisa garis tertipis")),
        String::new(),
    ]);
    for batch in &sheets.batches {
        table.row([
            voice.number(f64::from(batch.number), 0),
            voice.quantity(Quantity::new(
                (batch.chlorine * 100.0).round() / 100.0,
                Measure::PerVolume,
            )),
            if batch.add > 0.0 {
                voice.quantity(Quantity::new(
                    (batch.add * 10.0).ceil() / 10_000.0,
                    Measure::Volume,
                ))
            } else {
                "–".to_string()
            },
            clock(by_hand(batch.strengthened_time), voice),
            sheets
                .line_left(batch.strengthened_time)
                .map_or_else(|| "–".to_string(), |(left, _)| millimetres(left, voice)),
            if batch.dump {
                raw(text!("then empty the tank", "lalu kosongkan bak"))
            } else {
                String::new()
            },
        ]);
    }
    table.text()
}

fn dose_lines(sheets: &Sheets, ask: &Ask) -> Vec<Line> {
    let wanted = sheets.tank.designed.chlorine;
    let mut lines = Vec::new();
    if sheets.now.chlorine < wanted {
        lines.push(match (sheets.strengthen, ask.stock.is_some()) {
            (Some(add), _) => say!(
                "To bring {tank} back to the design's {wanted}: {add} of the stock. Titrate again after it.",
                "Untuk mengembalikan {tank} ke {wanted} menurut desain: {add} stok. Titrasi lagi sesudahnya.",
                tank = litres(sheets.tank.litres),
                wanted = strength(wanted),
                add = litres((add * 10.0).ceil() / 10.0)
            ),
            (None, true) => say!(
                "The stock is no stronger than the design's {wanted}: it cannot strengthen the bath.",
                "Stok tidak lebih kuat dari {wanted} menurut desain: tidak dapat menguatkan bak.",
                wanted = strength(wanted)
            ),
            (None, false) => say!(
                "Weaker than the design's {wanted}. Titrate the stock and give {option}: then its dose is said.",
                "Lebih lemah dari {wanted} menurut desain. Titrasi stok dan isi {option}: lalu takarannya disebut.",
                wanted = strength(wanted),
                option = Arg::Name("--stock".into())
            ),
        });
    }
    lines.push(say!(
        "Empty the tank after {n} loads at the latest. Antichlor stands on sheets of its own: for the cloth {tub}, for emptying {emptying}.",
        "Kosongkan bak paling lambat sesudah {n} muatan. Penetral ada di lembar tersendiri: untuk kain {tub}, untuk mengosongkan {emptying}.",
        n = Arg::Number(f64::from(sheets.tank.loads), 0),
        tub = Arg::Name("--sheet tub".into()),
        emptying = Arg::Name("--sheet emptying".into())
    ));
    lines
}

/// The tub: antichlor for the cloth.
pub fn tub_page(sheets: &Sheets, voice: Voice) -> String {
    let [dose, rule] = sheets.tub.lines(&sheets.tank);
    let lines = [
        dose,
        rule,
        say!(
            "In within {lag}; done when starch-iodide paper stays white on three places of each bolt.",
            "Masuk dalam {lag}; selesai bila kertas kanji-iodida tetap putih di tiga tempat tiap gulung.",
            lag = Arg::Name(clock(sheets.now.lag, voice))
        ),
    ];
    let head = heading(
        sheets,
        say!("the tub (for cloth only)", "bak penetral (hanya untuk kain)"),
        voice,
    );
    let said: String = lines
        .iter()
        .map(|line| format!("  {}\n", line.say(voice)))
        .collect();
    format!("{head}\n{said}{}", cautions(sheets.tub.cautions, voice))
}

/// Emptying the tank.
pub fn emptying_page(sheets: &Sheets, dump: &DumpSheet, voice: Voice) -> String {
    let head = heading(
        sheets,
        say!(
            "emptying the tank (never the dose for cloth)",
            "mengosongkan bak (bukan takaran untuk kain)"
        ),
        voice,
    );
    let dose = say!(
        "{dose} of metabisulfite for the whole tank.",
        "{dose} metabisulfit untuk seluruh bak.",
        dose = Arg::Quantity(Quantity::new(
            (dump.antichlor.amount.si * 1000.0).round() / 1000.0,
            Measure::Mass
        ))
    );
    let lines: String = std::iter::once(&dose)
        .chain(&dump.lines)
        .map(|line| format!("  {}\n", line.say(voice)))
        .collect();
    format!("{head}\n{lines}{}", cautions(&dump.cautions, voice))
}

fn cautions(all: &[Caution], voice: Voice) -> String {
    all.iter()
        .map(|caution| format!("  ! {}\n", caution.text.raw(voice.language)))
        .collect()
}
