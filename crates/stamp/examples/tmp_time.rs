#![allow(missing_docs)]
use std::time::Instant;
fn main() {
    const HEAD: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm">"#;
    let nest = |n: usize| {
        format!(
            "{HEAD}{}<rect width='9' height='9'/>{}</svg>",
            "<g>".repeat(n),
            "</g>".repeat(n)
        )
    };
    let t = |n: &str, s: String| {
        let a = Instant::now();
        let r = stamp::scan(&s, "a").is_ok();
        println!("{n} {r} {:?}", a.elapsed());
    };
    t("nest98", nest(98));
    t("nest40k", nest(40000));
    t(
        "rects",
        format!("{HEAD}{}</svg>", "<rect width='1' height='1'/>".repeat(20_001)),
    );
    t("comment", format!("{HEAD}<!--{}--></svg>", "x".repeat(7_900_000)));
    t(
        "text",
        format!("{HEAD}<desc>{}</desc></svg>", "x".repeat(7_900_000)),
    );
    t(
        "ents",
        format!("{HEAD}<desc>{}</desc></svg>", "&lt;".repeat(1_900_000)),
    );
    t(
        "attrs",
        format!(
            "{HEAD}<g {}/></svg>",
            (0..100_000).map(|k| format!("a{k}='' ")).collect::<String>()
        ),
    );
    t(
        "ns",
        format!(
            "{HEAD}<g {}/></svg>",
            (0..20_000)
                .map(|k| format!("xmlns:a{k}='u{k}' "))
                .collect::<String>()
        ),
    );
    t(
        "ids",
        format!(
            "{HEAD}{}</svg>",
            (0..15000)
                .map(|k| format!("<g id='a{k}' fill='url(#a{k})'/>"))
                .collect::<String>()
        ),
    );
    t(
        "hidden",
        format!(
            "{HEAD}{}{}</svg>",
            "<g display='none'>".repeat(90) + &"<path/>".repeat(19000),
            "</g>".repeat(90)
        ),
    );
    let mut chain = format!("{HEAD}<clipPath id='c0'><rect width='9' height='9'/></clipPath>");
    for k in 1..3000 {
        chain.push_str(&format!(
            "<clipPath id='c{k}' clip-path='url(#c{})'><rect width='9' height='9'/></clipPath>",
            k - 1
        ));
    }
    t("chain", chain + "</svg>");
}
