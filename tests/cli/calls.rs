//! What to call, how to signal it, and what is asked for.

use crate::support::{demo, json, refused, run};

fn id(more: &[&str]) -> String {
    let all = [&["call", "--json"], more].concat();
    json(&all)["call"]["id"].as_str().unwrap().to_owned()
}

fn signals(more: &[&str]) -> Vec<String> {
    let all = [&["call", "--json"], more].concat();
    let v = json(&all);
    v["call"]["signals"].as_array().unwrap().iter().map(|s| s.as_str().unwrap().to_owned()).collect()
}

#[test]
fn touched_onto_the_behind_post_is_signalled_in_four_steps() {
    let touched = ["--over", "yes", "--off", "kick", "--touched", "yes", "--bounced", "no"];
    assert_eq!(signals(&[&touched[..], &["--behind-post"]].concat()), ["out", "touched", "post", "throw"]);
    assert_eq!(signals(&touched), ["out", "touched", "throw"]);
    // After a bounce nobody would take it for one on the full.
    let bounced = ["--over", "yes", "--off", "kick", "--touched", "yes", "--bounced", "yes"];
    assert_eq!(signals(&bounced), ["out", "throw"]);
    let r = run(&[&["call"], &touched[..], &["--behind-post"]].concat());
    let flat = r.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("4. take the ball") && flat.contains("aside from it"), "{flat}");
    assert!(flat.contains("enough if the goal umpire has tapped"), "{flat}");
}

#[test]
fn a_free_kick_goes_to_the_other_team_and_nobody_says_play_on() {
    let out = run(&["call", "--over", "yes", "--off", "kick", "--touched", "no", "--bounced", "no"]).out;
    assert!(out.contains("FREE KICK TO THE OTHER TEAM") && out.contains("hands to the mouth"), "{out}");
    let still = run(&["call", "--over", "no"]).out;
    assert!(still.contains("NO CALL: STILL IN"), "{still}");
    let page = run(&["call", "--table"]).out;
    for out in [&out, &still, &page] {
        let low = out.to_lowercase();
        assert!(!low.contains("play on") && !low.contains("other side"), "{out}");
    }
}

#[test]
fn the_page_of_calls_has_signals_and_what_passes_with_the_other_umpires() {
    let v = json(&["call", "--table", "--json"]);
    let ids = |key: &str| -> Vec<String> {
        v[key].as_array().unwrap().iter().map(|e| e["id"].as_str().unwrap().to_owned()).collect()
    };
    assert!(ids("calls").contains(&"touched-post".to_owned()));
    assert!(ids("signals").contains(&"full".to_owned()));
    for want in ["arm-up", "arm-level", "chest", "yours", "mine", "there", "by-name"] {
        assert!(ids("exchanges").contains(&want.to_owned()), "{want}");
    }
    for want in ["positions", "bring", "wait", "ball-up"] {
        assert!(ids("exchanges").contains(&want.to_owned()), "{want}");
    }
    for key in ["calls", "signals", "exchanges"] {
        for e in v[key].as_array().unwrap() {
            assert!(!e["source"].as_str().unwrap().is_empty() && e["standing"].is_string());
        }
    }
    let text = run(&["call", "--table"]).out;
    for want in ["GOAL UMPIRE", "FIELD UMPIRE", "stay out", "\"yours\"", "\"mine\"", "\"here\"", "by name"] {
        assert!(text.contains(want), "{want}");
    }
    // The training sheet has it too, and what is done before the match.
    let sheet = run(&["stations", &demo("cockatoo-hollow"), "--sheet"]).out;
    assert!(sheet.contains(&text));
    for want in ["BEFORE THE MATCH", "BRING", "WALK", "AGREE", "AT EACH BREAK", "WIND"] {
        assert!(sheet.contains(want), "{want}");
    }
    let data = json(&["stations", &demo("cockatoo-hollow"), "--sheet", "--json"]);
    assert_eq!(data["exchanges"], v["exchanges"]);
    assert!(data["match_day"].as_array().unwrap().iter().any(|d| d["id"] == "diagonal"));
    // And the long card.
    let long = run(&["card", &demo("cockatoo-hollow"), "--long"]).out;
    assert!(long.contains("BEFORE THE MATCH") && long.contains("AT EACH BREAK"));
}

#[test]
fn every_answer_that_is_missing_is_named_at_once() {
    let e = refused(&["call", "--over", "yes", "--off", "kick"]);
    for want in ["--touched", "--bounced", "--between-arcs", "--last-disposal", "--shepherded"] {
        assert!(e.contains(want), "{want}: {e}");
    }
    // Each in a line of its own, and nothing that can't matter.
    assert_eq!(e.lines().count(), 6, "{e}");
    assert!(!e.contains("--behind-post") && !e.contains("--off"), "{e}");
    let all = refused(&["call"]);
    assert!(
        all.contains("--over yes, no or unsure") && all.contains("--off kick") && all.contains("--bounced")
    );
    // A ball off the body: one answer settles it.
    assert_eq!(id(&["--over", "yes", "--off", "body"]), "out");
}

#[test]
fn the_behind_post_is_taken_only_where_it_can_be() {
    let kick = ["--off", "kick", "--touched", "no", "--bounced", "no", "--behind-post"];
    let e = refused(&[&["call", "--over", "yes", "--between-arcs"], &kick[..]].concat());
    assert!(e.contains("inside the arcs"), "{e}");
    let venue = demo("cockatoo-hollow");
    let at = |ball: &'static str| [&["call", "--venue", &venue, "--ball", ball], &kick[..]].concat();
    let e = refused(&at("Road wing, 2 m outside the line"));
    assert!(e.contains("more than 25 m from either goal"), "{e}");
    assert_eq!(id(&at("Silo/Road 2 m from post, 1 m outside the line")[1..]), "post-on-the-full");
}
