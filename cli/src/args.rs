//! The command line: its commands and options.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use ovalpeg::export::Paper;
use ovalpeg::sky::TimeOfDay;
use ovalpeg::units::Day;
use ovalpeg::units::ranges::PLACE_SD_M;

use crate::spot_args::SpotArgs;
use crate::survey_args::{SurveyArgs, SurveyOptions};

/// Survey points of an Australian-football oval in; a trusted model of the ground,
/// and what officials need on the day, out.
#[derive(Debug, Parser)]
#[command(
    version,
    propagate_version = true,
    arg_required_else_help = true,
    max_term_width = 80,
    after_help = "\
Exit codes:
  0  done
  1  findings: `compare` found a change that the measurements show
  2  could not run: nothing was written
  3  failed, and yet something was written: the message says what and where

Examples:
  ovalpeg card cockatoo-hollow                     a registered ground's card
  ovalpeg fit walk.kml --method phone       what a survey says of a ground
  ovalpeg register walk.kml --method phone --id my-oval --name \"My Oval\" \\
          --ends \"Silo,School\" --sides \"Pavilion,Road\"
  ovalpeg throw-in cockatoo-hollow --at \"Silo/Road pocket\"
  ovalpeg stations cockatoo-hollow --phase play --ball 20,50   where to be
  ovalpeg call                                             what to call: it asks
  ovalpeg compare cockatoo-hollow new.csv --method rtk    has it changed?
  ovalpeg rules laws                        where each number comes from"
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
    /// Columns of text, 24 to 200 [default: COLUMNS, else the terminal's, else the text's own].
    #[arg(long, global = true, value_name = "N", value_parser = columns)]
    pub(crate) width: Option<u16>,
}

fn columns(text: &str) -> Result<u16, String> {
    match text.parse::<u16>() {
        Ok(n) if (Paper::LEAST..=Paper::MOST).contains(&usize::from(n)) => Ok(n),
        _ => Err(format!("columns, {} to {}", Paper::LEAST, Paper::MOST)),
    }
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Fit an oval to a survey and report on it; nothing is written.
    Fit(FitArgs),
    /// Adjust a tape notebook: where its marks are, how well, and which reading is wrong.
    Adjust(AdjustArgs),
    /// Fit a survey and keep it as a venue.
    Register(RegisterArgs),
    /// Compare two surveys of one ground, or a survey and a venue: what changed, and how surely.
    Compare(CompareArgs),
    /// Print a venue's briefing card.
    Card(CardArgs),
    /// The throw-in at a spot, and where to stand to watch a ball cross there.
    ThrowIn(ThrowInArgs),
    /// Where officials stand in each phase: at the bounce, or for any ball.
    Stations(StationsArgs),
    /// What to call, and how to signal it.
    Call(CallArgs),
    /// Rule sets: which there are, and where each number comes from.
    Rules(RulesArgs),
}

#[derive(Debug, Args)]
#[command(after_help = "\
How features are told apart:
  KML, KMZ, GPX, GeoJSON
        polygons, lines, tracks and routes are the boundary when there is one,
        or those whose name or folder says boundary, oval, line, edge or
        perimeter; without any, loose points are. Named points are posts:
        'goal post', 'GP', 'behind post', 'BP'. Everything else is reported
        and left out.
  CSV   rows without a code, or coded boundary or line, are the boundary;
        codes as above are posts.
  --boundary, --goal-posts, --behind-posts and --ignore say otherwise.

Columns of a CSV (the first line names them):
  lat,lon[,height][,sigma][,code]
  easting,northing[,zone][,height][,sigma][,code]
  x,y[,sigma][,code]                        plane metres: x east, y north
A column time, timestamp, datetime or utc makes the line's rows a walk, in their
order: 2026-03-14T09:26:53Z, or seconds or milliseconds from 1970.

Examples:
  ovalpeg fit oval.csv
  ovalpeg fit walk.gpx --method phone
  ovalpeg fit mga.csv --zone 55 --datum gda2020 --method rtk --json
  ovalpeg fit image.kml --method trace --boundary \"inner edge\"
  ovalpeg fit walk.gpx --method phone --shape cut-ellipse
  ovalpeg fit ring.csv --curve-only")]
pub(crate) struct FitArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// Fit the curve alone: no goal lines, whatever its size and however round.
    #[arg(long)]
    pub(crate) curve_only: bool,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "\
A notebook is plain text:
  tape A: 50 m, class III                   a tape; class I, II, III or scale 0.0002
  NE goal post to peg 7: 62.40, sd 0.02     a tie: sd, with A, 31 C, rise 0.7 may follow
  base NW behind post to SW behind post     a base line for the lines below
  at 20.00 left 31.40                       20.00 along it, 31.40 to the left
  peg 7 is at 0, 0                          fixed; with sd 0.05: measured; near: a start
  peg 9 is left of peg 7 to peg 8           which side
  peg 7 to peg 8 bears 347                  where north is: a true bearing
  goal to goal: 162.35                      and wing to wing: lengths of the ground
The report gives coordinates with the ellipse that holds a mark with 95 %,
residuals, redundancy (0: nothing checks the reading, 1: all does) and w, the
standardised residual: over 3.29, a blunder is likely.

Examples:
  ovalpeg adjust tapes.txt
  ovalpeg adjust tapes.txt posts.csv --method rtk --json")]
pub(crate) struct AdjustArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Ends and sides are named for the people who play there. The first end is the
one nearer true north; the first side is on your left when you stand at the
centre and face that end. `ovalpeg fit` prints the bearing.

Examples:
  ovalpeg register rtk.csv --method rtk --id cockatoo-hollow \\
          --name \"Cockatoo Hollow Oval\" --ends \"Silo,School\" \\
          --sides \"Pavilion,Road\" --surveyed 2026-03-14
  ovalpeg register new.csv --method rtk --id cockatoo-hollow --replace

The venue is made and opened in memory first, with every card and table of it: what
would not open again is refused (exit code 2, nothing written). --replace needs no
more than a venue.toml that reads: a survey or fit file that was lost or damaged is
put right by it. Exit code 3: something was written, and the message says what.")]
pub(crate) struct RegisterArgs {
    #[command(flatten)]
    pub(crate) survey: SurveyArgs,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// Short name of the venue: lower-case letters, digits and hyphens.
    #[arg(long)]
    pub(crate) id: String,
    /// Name for people [default: made from the id].
    #[arg(long)]
    pub(crate) name: Option<String>,
    /// Names of the two ends, the one nearer true north first.
    #[arg(long, value_name = "A,B")]
    pub(crate) ends: Option<String>,
    /// Names of the two sides, first the one on your left facing the first end.
    #[arg(long, value_name = "LEFT,RIGHT")]
    pub(crate) sides: Option<String>,
    /// Day of the survey [default: a walk's own, by its clock, else today].
    #[arg(long, value_name = "DAY")]
    pub(crate) surveyed: Option<Day>,
    /// Put this survey into a venue that is there: what people wrote in its file stays.
    #[arg(long)]
    pub(crate) replace: bool,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Each of the two is a venue (its short name, folder or venue.toml) or a survey's file;
--old-with and --new-with add files that are adjusted with it. --method, --sigma,
--datum, --zone, --edge and --line-width are given once for all survey files, or once
for each: first the old survey's, then the new one's. Everything is said by the names
and the ends of the old ground.

Found is what both surveys' errors together can't explain: all tests of a comparison
raise a false alarm in at most 5 % of comparisons of a ground that did not change.
Exit code 0: no change that these measurements can show; 1: a change; 2: could not run.

Examples:
  ovalpeg compare cockatoo-hollow new.csv --method rtk    has it changed?
  ovalpeg compare 2025.gpx 2026.gpx --method phone         two walks
  ovalpeg compare image.kml rtk.csv --method trace --method rtk
  ovalpeg compare old-tapes.csv new-tapes.csv --apart     two origins
  ovalpeg compare cockatoo-hollow new.csv --method rtk --json")]
pub(crate) struct CompareArgs {
    /// What was: a venue or a survey.
    #[arg(value_name = "OLD")]
    pub(crate) old: String,
    /// What is: a venue or a survey.
    #[arg(value_name = "NEW")]
    pub(crate) new: String,
    /// A file to be adjusted with the old survey's.
    #[arg(long, value_name = "FILE")]
    pub(crate) old_with: Vec<PathBuf>,
    /// A file to be adjusted with the new survey's.
    #[arg(long, value_name = "FILE")]
    pub(crate) new_with: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) options: SurveyOptions,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// Steady error of a survey's place in each of east and north, one standard
    /// deviation, metres [default: by its method]. Once for both, or old then new.
    #[arg(long, value_name = "M", value_parser = place_sd)]
    pub(crate) place_sd: Vec<f64>,
    /// The two have no origin in common: compare sizes and line, not place and turn.
    #[arg(long)]
    pub(crate) apart: bool,
    /// Plain ASCII.
    #[arg(long)]
    pub(crate) ascii: bool,
    /// Print JSON.
    #[arg(long, conflicts_with = "ascii")]
    pub(crate) json: bool,
}

fn place_sd(text: &str) -> Result<f64, String> {
    PLACE_SD_M.parse(text).map_err(|p| p.to_string())
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  ovalpeg card cockatoo-hollow
  ovalpeg card cockatoo-hollow --line Road --width 36     one line's official, on a phone
  ovalpeg card cockatoo-hollow --long --date 2026-08-01
  ovalpeg card cockatoo-hollow --date 2026-08-01 --start 19:30 --night
  ovalpeg card venues/cockatoo-hollow --ascii
  ovalpeg card cockatoo-hollow --format svg -o plan.svg     the plan, for A5
  ovalpeg card cockatoo-hollow --format pdf -o plan.pdf --paper a4
  ovalpeg card cockatoo-hollow --format html -o card.html   a page for a phone
  ovalpeg card cockatoo-hollow --json")]
pub(crate) struct CardArgs {
    #[command(flatten)]
    pub(crate) venue: VenueArgs,
    /// What to make: text, or a page as a picture.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_default_value = true,
          conflicts_with_all = ["full", "short", "long", "ascii", "json"])]
    pub(crate) format: CardFormat,
    /// What a page shows.
    #[arg(long, value_name = "WHAT", default_value = "plan")]
    pub(crate) show: CardShow,
    /// The paper of a page, upright.
    #[arg(long, value_name = "SIZE", default_value = "a5")]
    pub(crate) paper: CardPaper,
    /// The file to write [default: printed]. One that is there is left as it is.
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Write over a file that is there.
    #[arg(long, requires = "output")]
    pub(crate) replace: bool,
    /// The full card [default: where text has 49 columns or more, or nothing says how many].
    #[arg(long)]
    pub(crate) full: bool,
    /// The short card, and what to face on its second side [default: under 49 columns].
    #[arg(long, conflicts_with_all = ["full", "long"])]
    pub(crate) short: bool,
    /// The short card of the official who runs this line all day: a side.
    #[arg(long, value_name = "SIDE", conflicts_with_all = ["full", "long"])]
    pub(crate) line: Option<String>,
    /// The full card with the full table: aims, bearings, chainages and distances.
    #[arg(long)]
    pub(crate) long: bool,
    /// When the match starts there, as 14:10, for the sun [default: as the venue says].
    #[arg(long, value_name = "TIME")]
    pub(crate) start: Option<TimeOfDay>,
    /// Under lights: only landmarks that show then are faced.
    #[arg(long)]
    pub(crate) night: bool,
    /// Plain ASCII.
    #[arg(long)]
    pub(crate) ascii: bool,
    /// Print the whole briefing as JSON.
    #[arg(long, conflicts_with_all = ["full", "short", "line", "long", "ascii"])]
    pub(crate) json: bool,
}

/// What a card is made into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CardFormat {
    /// Text for a terminal.
    Text,
    /// A page as SVG: for screens, and to be put into other documents.
    Svg,
    /// A page as PDF, to be printed: its texts can be selected and are read aloud.
    Pdf,
    /// A page as PNG, 200 dots an inch.
    Png,
    /// A page for a phone, one file that needs no reception: the card, the plan, an answer for every spot.
    Html,
}

/// What a page of a card shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CardShow {
    /// The plan of the ground.
    Plan,
}

/// The paper of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CardPaper {
    /// 210 by 297 mm.
    A4,
    /// 148 by 210 mm.
    A5,
    /// 105 by 148 mm: what to face and the sun are left to the card's text.
    A6,
}

#[derive(Debug, Args)]
#[command(after_help = "\
A spot is one of
  --at 123.4                 chainage: metres from the behind post of end A, left
  --at left,A,35             side, end and metres along the line from its post
  --at \"Silo/Road pocket\"   any place as it is printed; named spots are post,
                             25 m, pocket, arc end, flank, wing
  --at \"Road wing\"          capitals, commas, slashes and articles are all one
  --at \"pit cover\"          the line beside what stands there
  --lat -36.5 --lon 145.0    the nearest point of the boundary line
  --x -20 --y 60             the same, in the ground frame

Examples:
  ovalpeg throw-in cockatoo-hollow --at left,A,35
  ovalpeg throw-in cockatoo-hollow --at \"Silo/Road arc end\" --long
  ovalpeg throw-in cockatoo-hollow --at \"Silo/Road 69 m from post\"
  ovalpeg throw-in cockatoo-hollow --x 40 --y -50 --json")]
pub(crate) struct ThrowInArgs {
    #[command(flatten)]
    pub(crate) venue: VenueArgs,
    #[command(flatten)]
    pub(crate) spot: SpotArgs,
    /// Add bearings, distances and their ±.
    #[arg(long)]
    pub(crate) long: bool,
    /// The end to back toward where either will do [default: end A].
    #[arg(long, value_name = "END")]
    pub(crate) prefer: Option<String>,
    /// Under lights: only landmarks that show then are faced.
    #[arg(long)]
    pub(crate) night: bool,
    /// Plain ASCII.
    #[arg(long)]
    pub(crate) ascii: bool,
    /// Print JSON.
    #[arg(long, conflicts_with_all = ["long", "ascii"])]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
#[command(after_help = "\
Phases:
  bounce        the start stations, both diagonals              (the default)
  play          wherever the ball is                            --ball
  set-kick      ahead of the kick; in range, both posts         --ball --goal
  throw-in      the thrower, the other, the run afterwards      --ball
  on-the-full   the run to the spot                             --ball
  kick-in       by the arc's ends; the mark                     --goal
  after-goal    the ball's way back                             --goal

A place is one of
  20,-35                     metres toward the first end, and to its left
  -36.7430,144.9468          latitude and longitude
  \"Silo/Road pocket\"         a spot of the line, as throw-in has them
  \"20 m from the Silo goal\"  words as printed: centre, goal, goal square, square's
                             corner, then metres to a side, ...
Ends, sides and places are accepted as cards and stations print them. --from names
its official by the side, and of two on a side by the end too: Road/Silo:10,-60.

Examples:
  ovalpeg stations cockatoo-hollow
  ovalpeg stations cockatoo-hollow --phase play --ball 20,50
  ovalpeg stations cockatoo-hollow --phase play --ball \"20 m from the Silo goal\"
  ovalpeg stations cockatoo-hollow --phase play --ball 60,30 --from Road:10,-60
  ovalpeg stations cockatoo-hollow --phase set-kick --ball 40,10 --goal Silo
  ovalpeg stations cockatoo-hollow --phase after-goal --goal Silo --group 40,0,8
  ovalpeg stations cockatoo-hollow --phase play --ball 20,50 --crew 4 --json
  ovalpeg stations cockatoo-hollow --sheet       every phase, for training")]
pub(crate) struct StationsArgs {
    #[command(flatten)]
    pub(crate) venue: VenueArgs,
    /// What is going on.
    #[arg(long, value_enum, value_name = "PHASE", conflicts_with = "sheet")]
    pub(crate) phase: Option<PhaseName>,
    /// Every phase, one after the other.
    #[arg(long)]
    pub(crate) sheet: bool,
    /// Where the ball is, or where it crossed.
    #[arg(long, value_name = "PLACE", conflicts_with = "sheet", allow_hyphen_values = true)]
    pub(crate) ball: Option<String>,
    /// The end that is kicked toward, scored at, or kicked in from.
    #[arg(long, value_name = "END", conflicts_with = "sheet")]
    pub(crate) goal: Option<String>,
    /// Where an official comes from; once for each. Of two on a side: SIDE/END:PLACE.
    #[arg(long, value_name = "SIDE:PLACE", conflicts_with = "sheet")]
    pub(crate) from: Vec<String>,
    /// How many officials: 2, 3 or 4.
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u8).range(2..=4))]
    pub(crate) crew: u8,
    /// Of three, the side that has two [default: the first].
    #[arg(long, value_name = "SIDE")]
    pub(crate) pair_side: Option<String>,
    /// The end to back toward where either will do [default: end A].
    #[arg(long, value_name = "END")]
    pub(crate) prefer: Option<String>,
    /// After a goal, players to keep clear of: middle and radius in metres; repeat it.
    #[arg(long, value_name = "X,Y,R", allow_hyphen_values = true)]
    pub(crate) group: Vec<String>,
    /// After a goal, whose official collects the ball [default: the first side's].
    #[arg(long, value_name = "SIDE")]
    pub(crate) collects: Option<String>,
    /// After a goal, the side of the circle where the field umpire waits [default: the other side].
    #[arg(long, value_name = "SIDE")]
    pub(crate) umpire: Option<String>,
    /// Time of day there, as 15:40: is the sun in the way?
    #[arg(long, value_name = "TIME")]
    pub(crate) time: Option<TimeOfDay>,
    /// Under lights: only landmarks that show then are faced.
    #[arg(long)]
    pub(crate) night: bool,
    /// Plain ASCII.
    #[arg(long)]
    pub(crate) ascii: bool,
    /// Print JSON.
    #[arg(long, conflicts_with = "ascii")]
    pub(crate) json: bool,
}

/// A phase as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum PhaseName {
    Bounce,
    Play,
    SetKick,
    ThrowIn,
    OnTheFull,
    KickIn,
    AfterGoal,
}

#[derive(Debug, Args)]
#[command(after_help = "\
On a terminal it asks what the call hangs on and was not said; elsewhere it says what
is missing. Once anything is said, --behind-post and --insufficient-intent are taken
as no unless they are there. --table prints every row with its source.

Examples:
  ovalpeg call
  ovalpeg call --table
  ovalpeg call --over yes --off kick --bounced no --touched no
  ovalpeg call --over yes --off hand --touched no --last-disposal no
  ovalpeg call --over yes --off body --touched no
  ovalpeg call --venue cockatoo-hollow --ball 0,67")]
pub(crate) struct CallArgs {
    /// Print the whole table.
    #[arg(long)]
    pub(crate) table: bool,
    /// Is all of the ball beyond the line's outer edge?
    #[arg(long, value_enum, value_name = "ANSWER", conflicts_with = "table")]
    pub(crate) over: Option<Answer>,
    /// How it left the last player.
    #[arg(long, value_enum, value_name = "HOW", conflicts_with = "table")]
    pub(crate) off: Option<OffName>,
    /// Did another player touch or smother it on the way?
    #[arg(long, value_enum, value_name = "ANSWER", conflicts_with = "table")]
    pub(crate) touched: Option<Answer>,
    /// Did it meet the ground first?
    #[arg(long, value_enum, value_name = "ANSWER", conflicts_with = "table")]
    pub(crate) bounced: Option<Answer>,
    /// A venue, to judge by its line where --ball is: over or not, between the arcs or not, its law.
    #[arg(long, value_name = "VENUE", requires = "ball", conflicts_with_all = ["over", "between_arcs", "table"])]
    pub(crate) venue: Option<String>,
    /// Middle of the ball: a place, as `stations` has them.
    #[arg(long, value_name = "PLACE", requires = "venue", allow_hyphen_values = true)]
    pub(crate) ball: Option<String>,
    /// How far across the ball is, metres [default: as the venue's practice has it].
    #[arg(long, value_name = "M", requires = "venue")]
    pub(crate) across: Option<f64>,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// It hit the behind post.
    #[arg(long, conflicts_with = "table")]
    pub(crate) behind_post: bool,
    /// An opponent shepherded it over.
    #[arg(long, value_enum, value_name = "ANSWER", num_args = 0..=1, default_missing_value = "yes", conflicts_with = "table")]
    pub(crate) shepherded: Option<Answer>,
    /// Not enough was done to keep it in.
    #[arg(long, conflicts_with = "table")]
    pub(crate) insufficient_intent: bool,
    /// It crossed between the arcs.
    #[arg(long, value_enum, value_name = "ANSWER", num_args = 0..=1, default_missing_value = "yes", conflicts_with = "table")]
    pub(crate) between_arcs: Option<Answer>,
    /// The competition has a free kick for the last disposal between the arcs.
    #[arg(long, value_enum, value_name = "ANSWER", num_args = 0..=1, default_missing_value = "yes", conflicts_with = "table")]
    pub(crate) last_disposal: Option<Answer>,
    /// Plain ASCII.
    #[arg(long)]
    pub(crate) ascii: bool,
    /// Print JSON.
    #[arg(long, conflicts_with = "ascii")]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Without a name it lists the sets that are built in, and those of leagues: files
NAME.rules.toml in the folder of venues. A venue takes one with
  [rules]
  set = \"NAME\"
and a file holds what it changes in a built-in set, and why:
  schema = 1
  name = \"Wattle Valley League\"
  based_on = \"laws\"
  [[change]]
  why = \"by-law 7 of 2026: three of our grounds are older\"
  length_min_m = 128
  width_min_m = 104
What a set does not have is written as \"none\": arc_radius_m = \"none\".

Examples:
  ovalpeg rules                                which sets there are
  ovalpeg rules laws                           every number with its source
  ovalpeg rules nine-a-side --json
  ovalpeg rules --venue cockatoo-hollow        a venue's own numbers too")]
pub(crate) struct RulesArgs {
    /// A rule set to explain.
    #[arg(value_name = "SET")]
    pub(crate) set: Option<String>,
    /// Explain the rules of a venue, with the numbers that it sets itself.
    #[arg(long, value_name = "VENUE", conflicts_with = "set")]
    pub(crate) venue: Option<String>,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// Plain ASCII.
    #[arg(long)]
    pub(crate) ascii: bool,
    /// Print JSON.
    #[arg(long, conflicts_with = "ascii")]
    pub(crate) json: bool,
}

/// An answer as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Answer {
    Yes,
    No,
    Unsure,
}

/// How a ball left the last player, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum OffName {
    /// Kicked.
    Kick,
    /// Handballed.
    Hand,
    /// Off the leg below the knee.
    BelowKnee,
    /// Off the leg above the knee.
    AboveKnee,
    /// Straight from a ruck contest.
    Ruck,
    /// Kicked in after a behind.
    KickIn,
    /// Off the body, a fist or a palm, or carried.
    Body,
}

/// Where venues are kept.
#[derive(Debug, Args)]
pub(crate) struct VenuesArgs {
    /// Folder of venues.
    #[arg(long, value_name = "DIR", env = "OVALPEG_VENUES", default_value = "venues")]
    pub(crate) venues: PathBuf,
}

/// Which venue, on which day.
#[derive(Debug, Args)]
pub(crate) struct VenueArgs {
    /// A venue's short name, or a path to its folder or venue.toml.
    #[arg(value_name = "VENUE")]
    pub(crate) venue: String,
    #[command(flatten)]
    pub(crate) venues: VenuesArgs,
    /// Day for compass bearings, as 2026-08-01 [default: today].
    #[arg(long, value_name = "DAY")]
    pub(crate) date: Option<Day>,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_well_formed() {
        super::Cli::command().debug_assert();
    }
}
