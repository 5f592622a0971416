//! The README's own claims.

use crate::support::{demo, root, run};

#[test]
fn the_card_in_the_readme_is_the_card_as_it_prints() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let (_, rest) = readme.split_once("<!-- card -->\n```text\n").expect("the README shows a card");
    let (shown, _) = rest.split_once("```\n<!-- /card -->").expect("the card ends");
    let printed = run(&["card", &demo("cockatoo-hollow"), "--date", "2026-08-01"]).out;
    assert_eq!(shown, printed, "put the card as it prints into README.md");
}

#[test]
fn every_option_that_the_readme_names_is_there() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let mut help = run(&["--help"]).out;
    for command in ["fit", "register", "compare", "card", "throw-in", "stations"] {
        help += &run(&[command, "--help"]).out;
    }
    let mut seen = 0;
    for word in readme.split(|c: char| c.is_whitespace() || c == '`') {
        // Options of cargo stand before its own `--`.
        if let Some(name) = word.strip_prefix("--").filter(|n| n.starts_with(char::is_alphabetic)) {
            if ["release", "workspace", "bin", "check"].contains(&name) {
                continue;
            }
            assert!(help.contains(word.trim_end_matches([',', '.', ';', ')'])), "{word}");
            seen += 1;
        }
    }
    assert!(seen > 3, "the README names options");
}
