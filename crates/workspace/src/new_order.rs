//! A new order at the end of the orders file, read before it is written.

use crate::card::quoted;
use crate::folder::ORDERS;
use crate::orders::orders;
use crate::write::save;
use crate::{NotDone, Source, Workspace};
use sha2::{Digest, Sha256};
use words::{Arg, Finding, Place, Weight, say};

/// An order as typed.
#[derive(Clone, Copy, Debug)]
pub struct NewOrder<'a> {
    /// Id of the design.
    pub design: &'a str,
    /// Bolts.
    pub bolts: &'a str,
    /// The day, as `2027-03-31`.
    pub due: &'a str,
    /// Who ordered.
    pub buyer: &'a str,
}

/// Adds it; answers its id.
///
/// # Errors
/// [`NotDone::Findings`] if there is no such design, or a value cannot be read.
pub fn add_order(workspace: &Workspace, new: &NewOrder) -> Result<String, NotDone> {
    let refuse = |finding: Finding| NotDone::Findings(vec![finding]);
    if workspace.design(new.design).is_none() {
        return Err(refuse(Finding::new(
            "no-such-design",
            Weight::Wrong,
            Place::Request,
            say!(
                "there is no design {design}",
                "tidak ada desain {design}",
                design = Arg::Name(new.design.chars().take(60).collect())
            ),
        )));
    }
    let Ok(bolts) = new.bolts.trim().parse::<u32>() else {
        return Err(refuse(
            Finding::new(
                "bolts",
                Weight::Wrong,
                Place::Request,
                say!(
                    "\"{text}\" is no number of bolts",
                    "\"{text}\" bukan jumlah gulung",
                    text = Arg::Name(new.bolts.chars().take(40).collect())
                ),
            )
            .allow(say!("a whole number, as 6", "bilangan bulat, seperti 6")),
        ));
    };
    let old = workspace.source(ORDERS);
    let text = old.map_or("", |source| source.text.as_str());
    let id = (101..)
        .map(|n| format!("o-{n}"))
        .find(|id| !workspace.orders.iter().any(|order| order.id == *id))
        .unwrap_or_default();
    let gap = match text.is_empty() {
        true => "",
        false if text.ends_with('\n') => "\n",
        false => "\n\n",
    };
    let added = format!(
        "{gap}[[orders]]\nid = {}\ndesign = {}\nbolts = {bolts}\ndue = {}\nbuyer = {}\n",
        quoted(&id),
        quoted(new.design),
        quoted(new.due.trim()),
        quoted(new.buyer.trim()),
    );
    let whole = format!("{text}{added}");
    let source = Source {
        path: ORDERS.to_string(),
        hash: Sha256::digest(whole.as_bytes()).into(),
        text: whole,
    };
    let (read, findings) = orders(&source);
    if !read.iter().any(|order| order.id == id) {
        let wrong = findings.into_iter().filter(|f| f.weight == Weight::Wrong);
        let new = |f: &Finding| matches!(&f.place, Place::File { span, .. } if span.start >= text.len());
        return Err(NotDone::Findings(wrong.filter(new).collect()));
    }
    save(
        &workspace.dir,
        ORDERS,
        old.map(|source| source.hash),
        source.text.as_bytes(),
    )?;
    Ok(id)
}
