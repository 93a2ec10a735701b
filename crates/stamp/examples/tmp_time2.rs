#![allow(missing_docs)]
use std::time::Instant;
fn main() {
    const HEAD: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm">"#;
    for n in [5000, 10000, 20000] {
        for (m, e) in [("rect", "<rect width='1' height='1'/>"), ("g", "<g/>")] {
            let s = format!("{HEAD}{}</svg>", e.repeat(n));
            let a = Instant::now();
            let o = roxmltree::ParsingOptions {
                allow_dtd: true,
                nodes_limit: 200000,
                ..Default::default()
            };
            let d = roxmltree::Document::parse_with_options(&s, o).unwrap();
            println!("{m} parse {n} {:?}", a.elapsed());
            let a = Instant::now();
            let c = d.descendants().filter(|n| n.is_element()).count();
            println!("desc {c} {:?}", a.elapsed());
            let a = Instant::now();
            let c = d.root_element().children().filter(|n| n.is_element()).count();
            println!("children {c} {:?}", a.elapsed());
            let a = Instant::now();
            let c = d.descendants().map(|n| n.attributes().count()).sum::<usize>();
            println!("attrs {c} {:?}", a.elapsed());
        }
    }
}
