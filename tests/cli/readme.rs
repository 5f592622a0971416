//! The README's own claims.

use crate::support::{demo, root, run, run_in};

#[test]
fn the_card_in_the_readme_is_the_card_as_it_prints() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    for (what, more) in [("card", &[][..]), ("short card", &["--line", "Pavilion"])] {
        let (_, rest) =
            readme.split_once(&format!("<!-- {what} -->\n```text\n")).expect("the README shows it");
        let (shown, _) = rest.split_once(&format!("```\n<!-- /{what} -->")).expect("it ends");
        let venue = demo("cockatoo-hollow");
        let args = [&["card", venue.as_str(), "--date", "2026-08-01"], more].concat();
        assert_eq!(shown, run(&args).out, "put the {what} as it prints into README.md");
    }
}

#[test]
fn the_leagues_rules_in_the_readme_are_those_of_the_demo() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let (_, rest) =
        readme.split_once("<!-- rules -->\n```toml\n").expect("the README shows a league's rules");
    let (shown, _) = rest.split_once("```\n<!-- /rules -->").expect("they end");
    let there = std::fs::read_to_string(root().join("venues/wattle-valley.rules.toml")).unwrap();
    assert_eq!(shown, there);
}

#[test]
fn every_option_that_the_readme_names_is_there() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let mut help = run(&["--help"]).out;
    for command in ["fit", "register", "compare", "card", "throw-in", "stations", "call", "rules"] {
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

/// A command line's words, quoted ones together.
fn words(line: &str) -> Vec<String> {
    line.split('"')
        .enumerate()
        .flat_map(|(i, part)| {
            if i % 2 == 1 {
                vec![part.to_owned()]
            } else {
                part.split_whitespace().map(str::to_owned).collect()
            }
        })
        .collect()
}

#[test]
fn every_example_of_help_about_a_venue_runs() {
    let venues = root().join("venues").display().to_string();
    // What an example writes is written there.
    let folder = tempfile::tempdir().unwrap();
    let mut ran = 0;
    for command in ["card", "throw-in", "stations", "call", "rules"] {
        let help = run(&[command, "--help"]).out;
        for line in help.lines().filter_map(|l| l.trim().strip_prefix("ovalpeg ")) {
            // What is said of an example stands off it.
            let line = line.split("   ").next().unwrap_or(line);
            let mut all = words(line);
            if all.len() == 1 {
                // It asks, and nobody is here to answer.
                continue;
            }
            for word in &mut all {
                if word.starts_with("venues/") {
                    *word = root().join(word.as_str()).display().to_string();
                }
            }
            if !all.contains(&"--table".to_owned()) {
                all.extend(["--venues".to_owned(), venues.clone()]);
            }
            let r = run_in(folder.path(), &all.iter().map(String::as_str).collect::<Vec<_>>());
            assert_eq!(r.code, 0, "{line}: {}", r.err);
            ran += 1;
        }
    }
    assert!(ran >= 18, "{ran}");
}
