//! Draws the plots of the demonstration store: every ladder, and what clears against what binds.
//!
//! `cargo run -p colour --example plots -- FOLDER [id]`

#[path = "../tests/common/card_file.rs"]
mod card_file;

use colour::fit::ladder::{Terms, fit};
use colour::fit::{fixed_share, rungs};
use colour::measured::{Stated, read, samples};
use colour::plot::{Store, ladder_svg, store_svg};
use units::{Celsius, Span};
use words::{Known, Language, Voice};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("where to?")?;
    let language = if std::env::args().nth(2).as_deref() == Some("id") {
        Language::Id
    } else {
        Language::En
    };
    let voice = Voice {
        language,
        ..Voice::default()
    };
    let cards = card_file::demo_cards();
    for card in &cards {
        let path = format!(
            "{}/../lorod/demo/measured/{}.txt",
            env!("CARGO_MANIFEST_DIR"),
            card.id
        );
        let measured = read(&std::fs::read_to_string(&path)?, &path, Stated::default());
        let (rungs, noise, _) = rungs(&samples(&measured.readings).0, &card.id);
        let share = fixed_share(&measured).ok().flatten().ok_or("no share")?;
        let date = measured.header("CREATED").unwrap_or_default();
        let found =
            fit(&rungs, &Terms::new(Known::yours(share), date, noise)).map_err(|f| format!("{f:?}"))?;
        std::fs::write(
            format!("{folder}/ladder-{}.svg", card.id),
            ladder_svg(&found, &card.name, voice),
        )?;
    }
    let store = Store {
        rest: Span(7200.0),
        cloth: Celsius(28.0),
        bath: Celsius(28.0),
        ph: 10.0,
        chlorine: 3.0,
    };
    std::fs::write(
        format!("{folder}/store.svg"),
        store_svg(&cards.iter().collect::<Vec<_>>(), store, voice),
    )?;
    Ok(())
}
