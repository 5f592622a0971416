//! Each reader, and the opening of venues, with thousands of spoilt inputs.

use ovalpeg_tests::fuzz::{Target, run};

/// Inputs of a reader.
const READ: usize = 20_000;
/// Inputs of a target that makes cards of what opens.
const OPENED: usize = 3_000;

fn keeps_its_promises(name: &str) {
    let target = Target::find(name).unwrap();
    let runs = if target.is_slow() { OPENED } else { READ };
    let broken = run(&target, runs, 160_130, 1).unwrap();
    assert!(broken.is_empty(), "{name}, {}", broken[0]);
}

macro_rules! targets {
    ($($name:ident),*) => {
        $(#[test]
        fn $name() {
            keeps_its_promises(stringify!($name));
        })*

        /// A target that is added is run here too.
        #[test]
        fn every_target_is_here() {
            let all = Target::all().unwrap();
            let names: Vec<&str> = all.iter().map(Target::name).collect();
            assert_eq!(names, [$(stringify!($name)),*]);
        }
    };
}

targets!(csv, kml, kmz, gpx, geojson, notebook, sniff, venue, fit, rules);
