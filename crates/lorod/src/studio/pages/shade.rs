//! A shade of one's own: recipes of the store for one colour on white cloth, without a design.

use crate::facts::shades::{MOST_DYES, Shade, Wanted, colour, dyes, no_colour, solve, store};
use crate::studio::Studio;
use crate::studio::design::dye_colour;
use crate::studio::frame::{self, Here};
use crate::studio::names::hash;
use crate::studio::page::{About, Page};
use crate::studio::parts::{finding, halves};
use crate::studio::reader::Reader;
use crate::studio::say::t;
use ::colour::Lab;
use ::colour::recipe::Recipe;
use axum::response::Response;
use maud::{Markup, html};
use words::{Arg, Finding, Voice, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("A shade of one's own", "Warna sendiri"),
    path: "/shade",
    about: About::Aside,
    make: page,
    data: Some(&crate::studio::data::shades::SHADE),
};

/// Recipes shown.
const SHOWN: usize = 6;

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let asked = reader
        .get("target")
        .map(str::trim)
        .filter(|text| !text.is_empty());
    let found = asked.map(|text| sought(workspace, text));
    let wrong = found.as_ref().and_then(|found| found.as_ref().err());
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("Which dyes give this colour?", "Pewarna mana yang memberi warna ini?"), voice)) }
            p.say { @match found.as_ref().and_then(|found| found.as_ref().ok()) {
                Some(shade) => (answer(shade, voice)),
                None => (t(text!("One colour on white cloth, from the dyes of the store, without a design.", "Satu warna di kain putih, dari pewarna gudang, tanpa desain."), voice)),
            } }
        } }
        section.wrap { div.mori {
            form.limits method="get" action=(PAGE.path) {
                p.fields {
                    label for="shade-target" { (t(text!("Dye white cloth to", "Warnai kain putih menjadi"), voice)) } " "
                    input #shade-target name="target" type="text" value=(asked.unwrap_or("")) size="14" spellcheck="false" aria-describedby="shade-help" aria-invalid=[wrong.is_some().then_some("true")]; " "
                    input #shade-picker type="color" value=(asked.filter(|text| text.len() == 7 && text.starts_with('#')).unwrap_or("#c2954f")) aria-label=(t(text!("Pick it from the screen", "Pilih dari layar"), voice)); "."
                }
                p.small #shade-help { (t(text!(
                    "As #c2954f from a screen, or as L*, a*, b* in daylight (D65, 10 degrees) like 64, 11, 42. A screen shows some 2 CIEDE2000 beside what it says (assumed).",
                    "Sebagai #c2954f dari layar, atau L*, a*, b* dalam cahaya siang (D65, 10 derajat) seperti 64, 11, 42. Layar meleset sekitar 2 CIEDE2000 (anggapan)."
                ), voice)) }
                @for one in wrong.into_iter().flatten() { (finding(one, None, voice)) }
                button.btn.go type="submit" { (t(text!("Seek recipes", "Cari resep"), voice)) }
            }
        } }
        @if let Some(Ok(shade)) = &found {
            section.wrap.after {
                ol.recipes { @for one in shade.recipes.iter().take(SHOWN) { li.mori { (recipe(one, shade, workspace, voice)) } } }
            }
        }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// The recipes for a colour as it was typed.
pub fn sought(workspace: &Workspace, text: &str) -> Result<Shade, Vec<Finding>> {
    let target = colour(text).unwrap_or_else(|| Err(no_colour(text)));
    let wanted = Wanted {
        name: text.to_string(),
        target: target.map_err(|found| vec![found])?,
    };
    let store = store(workspace, MOST_DYES)?;
    let mut shades = solve(&store, vec![wanted], None)?;
    shades.pop().ok_or_else(Vec::new)
}

pub fn answer(shade: &Shade, voice: Voice) -> String {
    let best = shade
        .recipes
        .iter()
        .map(|one| one.daylight)
        .min_by(f64::total_cmp);
    let Some(best) = best else {
        return say!("The store has no recipe for it.", "Gudang tidak punya resepnya.").say(voice);
    };
    let off = Arg::Number(best, 1);
    match best {
        off_by if off_by <= MATCH => say!(
            "The store reaches it: the nearest recipe is {off} away (CIEDE2000).",
            "Gudang mencapainya: resep terdekat meleset {off} (CIEDE2000).",
            off = off
        ),
        _ => say!(
            "The store does not reach it: the nearest recipe is {off} away (CIEDE2000).",
            "Gudang tidak mencapainya: resep terdekat meleset {off} (CIEDE2000).",
            off = off
        ),
    }
    .say(voice)
}

/// A match between pieces of one lot, CIEDE2000 (common practice, no source).
const MATCH: f64 = 2.0;

fn recipe(recipe: &Recipe, shade: &Shade, workspace: &Workspace, voice: Voice) -> Markup {
    let cards = dyes(workspace);
    let grams = |g: f64| format!("{} g/kg", voice.number(g, if g < 1.0 { 2 } else { 1 }));
    let shown = |lab: Lab| super::shades::on_screen(lab);
    html! {
        (halves(shown(shade.wanted.target.lab()), Some(shown(recipe.lab)), &shade.wanted.name))
        p { (t(text!("Misses by", "Meleset"), voice)) " " b { (voice.number(recipe.daylight, 1)) } " CIEDE2000"
            @if let Some([_, lamp, shop]) = recipe.lights {
                span.small { (say!("; incandescent {a}, shop lamp {f}", "; lampu pijar {a}, lampu toko {f}", a = Arg::Number(lamp, 1), f = Arg::Number(shop, 1)).say(voice)) }
            }
        }
        table.plain {
            thead { tr {
                th scope="col" { (t(text!("Dye", "Pewarna"), voice)) }
                th.n scope="col" { (t(text!("to weigh out", "ditimbang"), voice)) }
                th.n scope="col" { (t(text!("binds", "terikat"), voice)) }
            } }
            tbody { @for part in &recipe.parts { @if let Some(card) = cards.get(part.jar) {
                tr { th scope="row" { svg.chip viewBox="0 0 10 10" width="18" height="18" aria-hidden="true" { rect width="10" height="10" fill=(hash(dye_colour(card))) {} } " " (card.name) } td.n { (grams(part.charged)) } td.n { (grams(part.bound)) } }
            } } }
        }
        p.small {
            (t(text!("Per kg of cloth.", "Per kg kain."), voice)) " "
            (say!("Washed off: {g}.", "Tercuci: {g}.", g = Arg::Name(grams(recipe.wash_off))).say(voice))
            @if let Some(cost) = &recipe.cost { " " (say!("Dye: {amount} {currency}.", "Pewarna: {amount} {currency}.", amount = Arg::Number(cost.amount, 0), currency = Arg::Name(cost.currency.clone())).say(voice)) }
            @if recipe.at_limit { " " (t(text!("More dye would go nearer: a limit is reached.", "Lebih banyak pewarna akan lebih dekat: batas tercapai."), voice)) }
        }
    }
}
