//! Tables as every page hands them out: as JSON, as CSV (RFC 4180), on paper. A number says its unit in the head of its
//! column, or in the column beside it where rows differ.

use crate::studio::file::csv_rows;
use papers::List;
use serde_json::{Map, Value, json};
use units::{Measure, Quantity};
use words::{Arg, Text, Voice, say};

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Words, dates, names.
    Words,
    /// Whole things: their number needs no unit.
    Count,
    /// Numbers that have no unit besides their name: L*, pH.
    One,
    /// Numbers in this unit, which the head of the column names.
    Of(&'static str),
    /// Numbers whose unit stands in this column of the same row.
    Beside(&'static str),
}

/// A column.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// What programs call it.
    pub key: &'static str,
    /// What stands in it.
    pub unit: Unit,
    /// What people call it; none where a program needs it only, and paper leaves it out.
    pub name: Option<&'static Text>,
}

impl Column {
    /// Words.
    pub const fn words(key: &'static str, name: &'static Text) -> Self {
        Self::of(key, Unit::Words, name)
    }
    /// Whole things.
    pub const fn count(key: &'static str, name: &'static Text) -> Self {
        Self::of(key, Unit::Count, name)
    }
    /// Numbers in a unit, spelled as in a name: `g_per_l`.
    pub const fn number(key: &'static str, unit: &'static str, name: &'static Text) -> Self {
        Self::of(key, Unit::Of(unit), name)
    }
    const fn of(key: &'static str, unit: Unit, name: &'static Text) -> Self {
        Self {
            key,
            unit,
            name: Some(name),
        }
    }
    /// Numbers that have no unit besides their name.
    pub const fn one(key: &'static str, name: &'static Text) -> Self {
        Self::of(key, Unit::One, name)
    }
    /// Numbers whose unit stands in another column.
    pub const fn beside(key: &'static str, unit: &'static str, name: &'static Text) -> Self {
        Self::of(key, Unit::Beside(unit), name)
    }
    /// For programs only.
    pub const fn plain(key: &'static str, unit: Unit) -> Self {
        Self {
            key,
            unit,
            name: None,
        }
    }

    /// Its head in a file: `length_mm`.
    pub fn head(&self) -> String {
        match self.unit {
            Unit::Of(unit) => format!("{}_{unit}", self.key),
            Unit::Words | Unit::Count | Unit::One | Unit::Beside(_) => self.key.to_string(),
        }
    }
}

/// An amount in a table of amounts of many kinds: as people say it, and the number with its unit.
pub const AMOUNT: [Column; 3] = [
    Column::words("amount", words::text!("Amount", "Jumlah")),
    Column::plain("value", Unit::Beside("unit")),
    Column::plain("unit", Unit::Words),
];

/// The cells of [`AMOUNT`].
pub fn amount(quantity: Quantity, voice: Voice) -> [Cell; 3] {
    [
        Cell::Words(crate::studio::say::amount(quantity, voice)),
        Cell::number(quantity.si, 4),
        Cell::Words(base(quantity.measure).to_string()),
    ]
}

/// The unit of the base of a measure: what its bare numbers count.
pub const fn base(measure: Measure) -> &'static str {
    match measure {
        Measure::Length => "m",
        Measure::Area => "m2",
        Measure::Mass => "kg",
        Measure::Span => "s",
        Measure::Temperature => "C",
        Measure::TemperatureDifference => "K",
        Measure::Share | Measure::Count => "1",
        Measure::PerArea => "kg/m2",
        Measure::PerVolume => "kg/m3",
        Measure::Volume => "m3",
        Measure::PerMass => "m3/kg",
        Measure::Baume => "degBe",
        Measure::Pace => "s/m",
        Measure::Acidity => "pH",
        Measure::Angle => "rad",
        Measure::Diffusivity => "m2/s",
        Measure::Rate => "1/s",
        Measure::SecondOrderRate => "1/(M s)",
        Measure::MolarEnergy => "J/mol",
        Measure::Flux => "kg/(m2 s)",
    }
}

/// What stands in a row under a column.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing is known, or nothing applies.
    Nothing,
    /// Words.
    Words(String),
    /// Yes or no.
    Flag(bool),
    /// Whole things.
    Count(i64),
    /// A number, and the decimals that paper shows of it.
    Number(f64, usize),
}

impl Cell {
    /// Words.
    pub fn words(text: impl Into<String>) -> Self {
        Self::Words(text.into())
    }
    /// Words, where there are any.
    pub fn maybe(text: Option<impl Into<String>>) -> Self {
        text.map_or(Self::Nothing, Self::words)
    }
    /// A number; nothing where it is none.
    pub fn number(value: impl Into<Option<f64>>, places: usize) -> Self {
        let value: Option<f64> = value.into();
        value
            .filter(|v| v.is_finite())
            .map_or(Self::Nothing, |v| Self::Number(v, places))
    }
    /// How many.
    pub fn count(n: impl TryInto<i64>) -> Self {
        n.try_into().map_or(Self::Nothing, Self::Count)
    }

    /// For a table that a program reads.
    fn plain(&self) -> String {
        match self {
            Self::Nothing => String::new(),
            Self::Words(text) => text.clone(),
            Self::Flag(yes) => yes.to_string(),
            Self::Count(n) => n.to_string(),
            Self::Number(v, _) => v.to_string(),
        }
    }
    fn json(&self) -> Value {
        match self {
            Self::Nothing => Value::Null,
            Self::Words(text) => json!(text),
            Self::Flag(yes) => json!(yes),
            Self::Count(n) => json!(n),
            Self::Number(v, _) => json!(v),
        }
    }
    fn said(&self, voice: Voice) -> String {
        match self {
            Self::Nothing => "–".to_string(),
            Self::Words(text) => text.clone(),
            Self::Flag(yes) => {
                let word = if *yes {
                    words::text!("yes", "ya")
                } else {
                    words::text!("no", "tidak")
                };
                word.raw(voice.language).to_string()
            }
            Self::Count(n) => n.to_string(),
            Self::Number(v, places) => voice.number(*v, *places),
        }
    }
}

/// One table.
#[derive(Clone, Debug)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, each with a cell for every column.
    pub rows: Vec<Vec<Cell>>,
    /// What is said above it.
    pub said: Vec<String>,
    /// Whether it stands on a sheet of its own.
    pub apart: bool,
    /// How it lies on paper, where rows for a program would fill sheet after sheet; as it stands if there is none.
    pub paper: Vec<List>,
    /// Rows that paper has room for: of more, some are left out evenly, which is said. All, unless it says otherwise.
    pub most: usize,
}

impl Table {
    /// An empty table.
    pub fn new(columns: &[Column]) -> Self {
        Self {
            columns: columns.to_vec(),
            rows: Vec::new(),
            said: Vec::new(),
            apart: false,
            paper: Vec::new(),
            most: usize::MAX,
        }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Cell>) {
        let cells: Vec<Cell> = cells.into_iter().collect();
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for every column");
        self.rows.push(cells);
    }

    /// As RFC 4180.
    pub fn csv(&self) -> String {
        let head: Vec<String> = self.columns.iter().map(Column::head).collect();
        let rows = self
            .rows
            .iter()
            .map(|row| row.iter().map(Cell::plain).collect::<Vec<_>>());
        csv_rows(std::iter::once(head).chain(rows))
    }

    /// Columns with their names and units, and a row as what stands under each.
    pub fn json(&self, name: &Text, voice: Voice) -> Value {
        let columns: Value = self
            .columns
            .iter()
            .map(|column| {
                let unit = match column.unit {
                    Unit::Words => Value::Null,
                    Unit::Count | Unit::One => json!("1"),
                    Unit::Of(unit) => json!(unit),
                    Unit::Beside(other) => json!({ "in": other }),
                };
                json!({
                    "key": column.head(),
                    "name": column.name.map(|name| name.raw(voice.language)),
                    "unit": unit,
                })
            })
            .collect();
        let rows: Value = self
            .rows
            .iter()
            .map(|row| {
                let cells = self.columns.iter().zip(row);
                Value::Object(
                    cells
                        .map(|(column, cell)| (column.head(), cell.json()))
                        .collect::<Map<_, _>>(),
                )
            })
            .collect();
        json!({ "name": name.raw(voice.language), "said": self.said, "columns": columns, "rows": rows })
    }

    /// All that it is on paper.
    pub fn lists(&self, name: &Text, voice: Voice) -> Vec<List> {
        if self.paper.is_empty() {
            vec![self.list(name, voice)]
        } else {
            self.paper.clone()
        }
    }

    /// For paper: what only programs need is left out.
    pub fn list(&self, name: &Text, voice: Voice) -> List {
        let shown = |row: &[Cell]| -> Vec<String> {
            let cells = self.columns.iter().zip(row);
            cells
                .filter(|(column, _)| column.name.is_some())
                .map(|(_, cell)| cell.said(voice))
                .collect()
        };
        let head = |column: &Column| -> Option<(String, bool)> {
            let name = column.name?.raw(voice.language);
            let unit = match column.unit {
                Unit::Of(unit) => format!(", {}", spoken(unit)),
                Unit::Words | Unit::Count | Unit::One | Unit::Beside(_) => String::new(),
            };
            Some((format!("{name}{unit}"), column.unit != Unit::Words))
        };
        let every = self.rows.len().div_ceil(self.most.max(1)).max(1);
        let mut said = self.said.clone();
        if every > 1 {
            let line = say!(
                "Of {n} rows one in {every} is printed; all of them are in the CSV.",
                "Dari {n} baris dicetak satu dari {every}; semuanya ada di CSV.",
                n = Arg::Number(self.rows.len() as f64, 0),
                every = Arg::Number(every as f64, 0)
            );
            said.push(line.say(voice));
        }
        List {
            name: name.raw(voice.language).to_string(),
            columns: self.columns.iter().filter_map(head).collect(),
            rows: self.rows.iter().step_by(every).map(|row| shown(row)).collect(),
            said,
            apart: self.apart,
        }
    }
}

/// A unit as people write it.
fn spoken(unit: &str) -> String {
    match unit {
        "percent" => "%".to_string(),
        "de00" => "dE00".to_string(),
        "c" => "°C".to_string(),
        unit => unit.replace("_per_", "/").replace("m2", "m²").replace("_l", "_L"),
    }
}

#[cfg(test)]
mod tests {
    use super::{AMOUNT, Cell, Column, Table, Unit, amount, base};
    use units::{Measure, Quantity, parse_as};
    use words::{Voice, text};

    /// By hand: a head with the unit, quotes where RFC 4180 wants them, nothing where nothing is known, and the same
    /// numbers in JSON.
    #[test]
    fn one_table_says_the_same_in_every_form() {
        let name = text!("Strips", "Bilah");
        let mut table = Table::new(&[
            Column::words("use", text!("Use", "Guna")),
            Column::number("length", "mm", text!("Length", "Panjang")),
            Column::plain("seed", Unit::Count),
        ]);
        table.row([Cell::words("a, \"b\""), Cell::number(12.5, 1), Cell::count(7u32)]);
        table.row([Cell::Nothing, Cell::number(f64::NAN, 1), Cell::Nothing]);
        assert_eq!(
            table.csv(),
            "use,length_mm,seed\r\n\"a, \"\"b\"\"\",12.5,7\r\n,,\r\n"
        );
        let voice = Voice::default();
        let json = table.json(name, voice);
        assert_eq!(json["rows"][0]["length_mm"], 12.5);
        assert!(json["rows"][1]["length_mm"].is_null());
        let list = table.list(name, voice);
        assert_eq!(
            list.columns,
            [("Use".to_string(), false), ("Length, mm".to_string(), true)]
        );
        assert_eq!(list.rows[0], ["a, \"b\"", "12.5"]);
    }

    /// By hand: of seven rows at most three are one in three, the first, the fourth and the seventh; files keep all.
    #[test]
    fn paper_says_which_rows_it_leaves_out() {
        let mut table = Table::new(&[Column::count("seed", text!("Seed", "Benih"))]);
        (0..7u32).for_each(|n| table.row([Cell::count(n)]));
        table.most = 3;
        let list = table.list(text!("Seeds", "Benih"), Voice::default());
        assert_eq!(list.rows, [["0"], ["3"], ["6"]]);
        assert_eq!(list.said.len(), 1);
        assert_eq!(table.csv().lines().count(), 8);
    }

    /// 1 kg is 1 kg and 2 L are 0.002 m3.
    #[test]
    fn amounts_of_many_kinds_carry_their_unit() {
        let mut table = Table::new(&AMOUNT);
        let voice = Voice::default();
        table.row(amount(Quantity::new(1.0, Measure::Mass), voice));
        table.row(amount(Quantity::new(0.002, Measure::Volume), voice));
        let csv = table.csv().replace('\u{a0}', " ");
        assert_eq!(
            csv.lines().collect::<Vec<_>>(),
            ["amount,value,unit", "1 kg,1,kg", "2 L,0.002,m3"]
        );
    }

    /// Where people may write the unit of the base, 1 of it is 1 of the base.
    #[test]
    fn the_unit_of_the_base_is_what_it_is_read_as() {
        let mut read = 0;
        for unit in units::MEASURES {
            if let Ok(typed) = parse_as(&format!("1 {}", base(unit.measure)), unit.measure) {
                assert!((typed.quantity.si - 1.0).abs() < 1e-12, "{}", unit.symbol);
                read += 1;
            }
        }
        assert!(read > 30, "{read}");
    }
}
