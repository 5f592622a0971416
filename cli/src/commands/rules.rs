//! `ovalpeg rules`.

use anyhow::Result;
use ovalpeg::export::{LIST_COLUMNS, OwnRules, rule_sets_json, rule_sets_text, rules_json, rules_text};
use ovalpeg::rules::RuleSet;

use crate::args::RulesArgs;
use crate::output::{self, Width};
use crate::store;

pub(super) fn run(args: &RulesArgs, width: Width) -> Result<()> {
    let venues = &args.venues.venues;
    let paper = width.paper(LIST_COLUMNS, args.ascii);
    let explained: Option<RuleSet> = match (&args.set, &args.venue) {
        (Some(set), _) => Some(store::rule_set(venues, set)?),
        (None, Some(venue)) => Some(store::load(&store::folder(venues, venue)?)?.document.rules),
        (None, None) => None,
    };
    if let Some(set) = explained {
        return output::print(&if args.json { rules_json(&set) } else { rules_text(&set, paper) });
    }
    let own: Vec<OwnRules> = store::own_rule_sets(venues)
        .into_iter()
        .map(|id| {
            let found = store::own_rule_set(venues, &id).map_err(|problems| problems.len());
            (id, found)
        })
        .collect();
    output::print(&if args.json {
        rule_sets_json(&own)
    } else {
        rule_sets_text(&own, &venues.display().to_string(), paper)
    })
}
