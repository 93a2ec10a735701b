//! The words that every paper carries, in both languages.

use words::{Text, text};

macro_rules! texts {
    ($($name:ident = $en:expr, $id:expr;)*) => {
        $(pub(crate) static $name: &Text = text!($en, $id);)*
        #[cfg(test)]
        static ALL: &[&Text] = &[$(text!($en, $id)),*];
    };
}

texts! {
    JOB_CARD = "Job card", "Kartu kerja";
    BATCH_SHEET = "Batch sheet", "Lembar takaran";
    RUN_SHEET = "Run sheet", "Lembar kerja";
    LOT = "Lot", "Partai";
    BOLTS = "bolts", "gulung";
    STARTS = "starts", "mulai";
    PROMISED = "promised", "janji selesai";
    REVISION = "revision", "revisi";
    BEFORE = "Before", "Sebelum";
    AFTER = "After", "Sesudah";
    FINISHED = "Finished", "Kain jadi";
    STEP = "Step", "Langkah";
    AMOUNT = "Amount", "Jumlah";
    DONE_WHEN = "Done when:", "Selesai bila:";
    WRITE_DOWN = "Write down", "Catat di sini";
    FILL = "First fill", "Isi awal";
    BY_BOLT = "For each bolt", "Untuk setiap gulung";
    WEIGH = "Weigh out", "Timbang";
    TOP_UP = "Then add to the bath", "Lalu tambahkan ke bak";
    TOTALS = "Total from the store", "Total dari gudang";
    LOCAL_RULES = "Local rules and the maker's safety sheets come first.",
        "Utamakan aturan setempat dan lembar keselamatan dari pembuat bahan.";
    CAUTIONS_ON_FIRST = "Cautions: see page 1.", "Peringatan: lihat halaman 1.";
    PAGE = "page {page} of {pages}", "halaman {page} dari {pages}";
    STAMP_SHEET = "Stamp, full size", "Pola cap, ukuran penuh";
    PRINT_FULL = "Print at 100 %, never fitted to the page.", "Cetak 100 persen, jangan disesuaikan ke halaman.";
    BAR = "This bar is 100 mm. Measure it before use.", "Garis ini 100 milimeter. Ukur dulu sebelum dipakai.";
    FRAME = "dashed frame", "bingkai putus-putus";
    MIRRORED = "Copper face, mirrored: build over it", "Muka tembaga, terbalik: rakit di atasnya";
    AS_PRINTED = "As it prints: do not build over it", "Seperti hasil cap: jangan rakit di atasnya";
    SPEC = "Specification of a cloth", "Spesifikasi kain";
    LINE_SHEET = "Line sheet", "Lembar koleksi";
    COLOURS = "Colours of the finished cloth, by area", "Warna kain jadi, menurut luas";
    ROUTE = "Route", "Alur";
    AT_FULL_SIZE = "The finished cloth at full size", "Kain jadi dalam ukuran penuh";
    GROUND = "ground", "latar";
    MOTIF = "motif", "motif";
    COMPUTED = "Pictures are computed from the route. The cloth is judged by the approved piece.",
        "Gambar dihitung dari alur. Kain dinilai menurut contoh yang sudah disetujui.";
    HAND_MADE = "Stamped and dyed by hand: every bolt differs within the range of the approved piece. Pictures are computed from the route.",
        "Dicap dan diwarnai dengan tangan: tiap gulung berbeda dalam rentang contoh yang disetujui. Gambar dihitung dari alur.";
    PACK = "Handover pack", "Paket serah terima";
    COUNTED_THROUGH = "The number in the middle of each foot counts the whole pack.",
        "Angka di tengah kaki halaman menghitung seluruh paket.";
    IN_THE_PACK = "What lies in this pack, by page", "Isi paket ini, menurut halaman";
    THE_CLOTH = "the cloth", "kainnya";
    ITS_STAMPS = "stamps, full size", "cap, ukuran penuh";
    ITS_CARDS = "job cards", "kartu kerja";
    ITS_SHEETS = "batch sheets", "lembar takaran";
    READ_FIRST = "Read first", "Baca dulu";
    NOT_CERTAIN = "What is not certain yet", "Yang belum pasti";
    HANDED_OVER = "Handed over", "Serah terima";
    SIGNED = "handed over by: name", "diserahkan oleh: nama";
    RECEIVED = "received by: name", "diterima oleh: nama";
    DAY = "day", "tanggal";
    RIGHT = "right:", "kanan:";
    BELOW = "below:", "bawah:";
}

#[cfg(test)]
mod tests {
    #[test]
    fn both_languages_are_whole() {
        for text in super::ALL {
            assert_eq!(words::check_text(text), None);
        }
    }
}
