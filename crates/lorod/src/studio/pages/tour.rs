//! A first walk through the studio, in plain words, where the words are about.

use crate::studio::say::t;
use maud::{Markup, html};
use words::{Text, Voice, text};

/// Beside a new cloth: what to look at and what to try first.
pub fn beside_the_cloth(voice: Voice) -> Markup {
    const STOPS: [(&Text, &Text); 4] = [
        (
            text!(
                "This strip is your cloth, step by step.",
                "Strip ini kain Anda, langkah demi langkah."
            ),
            text!(
                "White on the left, finished on the right. Choose a frame, or walk with the arrow keys.",
                "Putih di kiri, jadi di kanan. Pilih bingkai, atau jalan dengan tombol panah."
            ),
        ),
        (
            text!("Pull the stitched seam.", "Tarik sambungan jahitan."),
            text!(
                "Left of it the cloth after the chosen step, right of it the finished cloth. Drag the cloth to move along the bolt; come near until you see threads.",
                "Di kirinya kain setelah langkah yang dipilih, di kanannya kain jadi. Geser kain untuk menyusuri gulungan; dekati sampai terlihat benangnya."
            ),
        ),
        (
            text!("Change a number in the sentence.", "Ubah angka dalam kalimat."),
            text!(
                "Write it as you would say it: 16 min, 44 in, 82 F. The cloth follows at once. Undo brings everything back.",
                "Tulis seperti diucapkan: 16 min, 44 in, 28 C. Kain langsung ikut. Urungkan mengembalikan semuanya."
            ),
        ),
        (
            text!(
                "Stitches in the margin want your eyes.",
                "Jahitan di tepi minta dilihat."
            ),
            text!(
                "Crosses: it cannot be made so. Running stitch: look at it. Seeds: good to know. Nothing is hidden elsewhere.",
                "Silang: tidak dapat dibuat begitu. Jelujur: periksa. Titik: cukup diketahui. Tidak ada yang disembunyikan."
            ),
        ),
    ];
    html! {
        section.wrap.tour aria-labelledby="tour-title" { div.mori {
            h2 #tour-title { (t(text!("Your first cloth hangs. Four things to try:", "Kain pertama Anda tergantung. Empat hal untuk dicoba:"), voice)) }
            ol { @for (what, how) in STOPS { li { b { (t(what, voice)) } " " (t(how, voice)) } } }
            p { b { (t(text!("And then:", "Lalu:"), voice)) } " " (t(text!(
                "the edge below says what is left before the pack goes to the workshop, and what comes next.",
                "tepi di bawah menyebut yang tersisa sebelum paket dikirim ke bengkel, dan apa berikutnya."
            ), voice)) }
        } }
    }
}
