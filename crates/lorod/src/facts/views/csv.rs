//! The plan as a table for other programs: CSV (RFC 4180), UTF-8, one line for each piece of work.

use super::{Days, Piece, View, clock};
use words::Voice;

/// The first line.
const HEAD: [&str; 12] = [
    "date",
    "start",
    "end_date",
    "end",
    "place",
    "lot",
    "design",
    "bolts",
    "step",
    "operation",
    "what",
    "others_held",
];

/// The pieces that begin on some days. Names of places and steps are in the reader's language, everything else is not.
pub fn csv(view: &View, days: Days, voice: Voice) -> String {
    let mut out = line(HEAD.iter().map(|cell| (*cell).to_string()));
    for piece in view.pieces_on(days) {
        out.push_str(&line(cells(view, &piece, voice)));
    }
    out
}

fn cells(view: &View, piece: &Piece, voice: Voice) -> [String; 12] {
    let step = piece.operation.and_then(|at| view.step(piece.lot, at));
    let route = view.problem().lots.get(piece.lot).map(|lot| &lot.route);
    let operation = piece.operation.and_then(|at| route?.get(at));
    let others = piece
        .holds
        .iter()
        .filter(|(resource, ..)| Some(*resource) != piece.place);
    let others: Vec<String> = others
        .map(|(resource, n, ..)| format!("{n} {}", view.place(*resource, voice)))
        .collect();
    [
        view.date(piece.start).to_string(),
        clock(piece.start),
        view.date(piece.end).to_string(),
        clock(piece.end),
        piece
            .place
            .map_or_else(String::new, |place| view.place(place, voice)),
        view.lot(piece.lot).to_string(),
        view.design(piece.lot)
            .map_or_else(String::new, |design| design.name.clone()),
        view.bolts(&piece.bolts),
        step.map_or_else(String::new, |(number, _)| number.to_string()),
        operation.map_or_else(String::new, |operation| operation.key.clone()),
        view.what(piece, voice),
        others.join("; "),
    ]
}

/// A record: cells that need it stand in quotation marks, a mark inside them twice.
fn line(cells: impl IntoIterator<Item = String>) -> String {
    let quoted = |cell: String| {
        if cell.contains(['"', ',', '\n', '\r']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell
        }
    };
    let mut line = cells.into_iter().map(quoted).collect::<Vec<_>>().join(",");
    line.push_str("\r\n");
    line
}

#[cfg(test)]
mod tests {
    /// RFC 4180, section 2, rules 5 to 7.
    #[test]
    fn cells_are_quoted_where_they_must_be() {
        let cells = ["aaa", "b\r\nbb", "c\"c", "d,d"].map(String::from);
        assert_eq!(super::line(cells), "aaa,\"b\r\nbb\",\"c\"\"c\",\"d,d\"\r\n");
    }
}
