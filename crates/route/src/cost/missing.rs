//! What is said when something has no price.

use words::{Arg, Finding, Line, Place, Weight, say};

/// What a line's name is about, for a sentence.
fn subject(name: &Line) -> Arg {
    match name.args.as_slice() {
        [(_, only)] => only.clone(),
        _ => Arg::Text(name.text),
    }
}

/// A dye or a material without a price.
pub(super) fn no_price(name: &Line) -> Finding {
    Finding::new(
        "price-missing",
        Weight::Wrong,
        Place::Request,
        say!(
            "{what} has no price, so the cost stays open",
            "{what} belum ada harganya, jadi biaya belum lengkap",
            what = subject(name)
        ),
    )
    .remedy(say!(
        "write its price into the workshop file; what costs nothing gets a price of 0",
        "tulis harganya di berkas bengkel; yang gratis ditulis 0"
    ))
}

/// A material that a step doses by volume and the price counts by mass, or the other way round.
pub(super) fn no_density(name: &Line) -> Finding {
    Finding::new(
        "price-per-other-unit",
        Weight::Wrong,
        Place::Request,
        say!(
            "{what} is dosed by volume and sold by mass (or the other way round), and its density is not known",
            "{what} ditakar menurut volume tetapi dijual menurut massa (atau sebaliknya), dan massa jenisnya belum diketahui",
            what = subject(name)
        ),
    )
    .remedy(say!(
        "look at the constants of the step that doses it",
        "periksa konstanta langkah yang menakarnya"
    ))
}

/// Someone or something that a step needs and the workshop does not name.
pub(super) fn nobody(what: &str, step: &str) -> Finding {
    Finding::new(
        "wage-missing",
        Weight::Wrong,
        Place::Step { id: step.to_string(), setting: None },
        say!(
            "this step needs \"{what}\", which the workshop has neither as people with a wage nor as a station",
            "langkah ini perlu \"{what}\", yang belum ada di bengkel sebagai tenaga berupah maupun sebagai stasiun",
            what = Arg::Name(what.to_string())
        ),
    )
    .remedy(say!("name it in the workshop file", "tulis di berkas bengkel"))
}

/// A cost that is no number that can be counted.
pub(super) fn uncountable(name: &Line) -> Finding {
    Finding::new(
        "cost-uncountable",
        Weight::Wrong,
        Place::Request,
        say!(
            "the cost of {what} is too large to count, or no number",
            "biaya {what} terlalu besar untuk dihitung, atau bukan angka",
            what = subject(name)
        ),
    )
    .remedy(say!(
        "look at its price and amount",
        "periksa harga dan jumlahnya"
    ))
}
