//! The common errors of each source of a survey: its scale, its place on the Earth, and the distance of its
//! line from the true one; and the scale of a tape.
//!
//! A survey of one source can't show these errors, so they widen the ± afterwards. Where sources meet, each
//! becomes a parameter with its standard deviation as an observation. So posts good to a centimetre correct
//! the scale of a traced image.

use super::FitOptions;
use super::observation::Observation;
use super::system::{Slots, System};
use crate::frame::Local;
use crate::geometry::Point;
use crate::survey::{LocalSurvey, Role};

/// An error that all measures of one source or one tape have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Common {
    /// Scale of a source, as a ratio.
    Scale {
        /// The source.
        source: usize,
    },
    /// Place of a source, east and north, m.
    Place {
        /// The source.
        source: usize,
    },
    /// Distance of a source's line from the true one, m, positive outside.
    Offset {
        /// The source.
        source: usize,
    },
    /// Scale of a tape, as a ratio; positive where it is too long and reads short.
    Tape {
        /// The tape.
        tape: usize,
    },
}

/// A common error, with its expected value and standard deviation before the adjustment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Known {
    pub(super) what: Common,
    pub(super) value: f64,
    pub(super) sd: f64,
}

/// The common errors of a survey that has several sources.
#[derive(Debug, Clone, Default)]
pub(super) struct Commons {
    pub(super) list: Vec<Known>,
    centres: Vec<Point<Local>>,
}

/// What a source holds: the sum of its points' coordinates, their number, and whether any is on the line.
#[derive(Debug, Clone, Copy, Default)]
struct Holds {
    x: f64,
    y: f64,
    points: usize,
    line: bool,
    /// Does any point lie in its frame?
    frame: bool,
}

impl Commons {
    /// The list is empty for a survey of one source without measured lengths. `widened` replaces standard
    /// deviations.
    pub(super) fn of(survey: &LocalSurvey, options: &FitOptions, widened: &[(Common, f64)]) -> Self {
        let sources = survey.points.iter().map(|p| p.source.max(p.frame) + 1).max().unwrap_or(0);
        let mut holds = vec![Holds::default(); sources];
        for p in survey.points.iter().filter(|p| p.role != Role::Unused && p.cleaned.is_none()) {
            let h = &mut holds[p.source];
            (h.x, h.y, h.points) = (h.x + p.at.x, h.y + p.at.y, h.points + 1);
            h.line |= p.role == Role::Line;
            holds[p.frame].frame = true;
        }
        if holds.iter().filter(|h| h.points > 0).count() < 2 && survey.spans.is_empty() {
            return Self::default();
        }
        let frames = holds.iter().filter(|h| h.frame).count();
        let mut list = Vec::new();
        let mut add = |what, value, sd| list.push(Known { what, value, sd });
        for (source, h) in holds.iter().enumerate() {
            let noise = options.noise_of(source);
            if h.points > 0 {
                add(Common::Scale { source }, 0.0, noise.scale_sd);
            }
            if h.frame && frames > 1 {
                add(Common::Place { source }, 0.0, noise.shift_sd_m);
            }
            if h.line {
                add(Common::Offset { source }, 0.0, noise.line_offset_sd_m);
            }
        }
        let mut tapes: Vec<(usize, f64)> = survey.spans.iter().filter_map(|s| s.tape).collect();
        tapes.sort_by_key(|t| t.0);
        tapes.dedup_by_key(|t| t.0);
        for (tape, sd) in tapes {
            // If the tape measured a network too, the network's adjustment has estimated its scale already.
            let network = survey.shared.iter().flat_map(|s| &s.tapes).find(|t| t.tape == tape);
            let (value, sd) = network.map_or((0.0, sd), |t| (t.too_long, t.sd));
            add(Common::Tape { tape }, value, sd);
        }
        for known in &mut list {
            if let Some((_, wide)) = widened.iter().find(|(what, _)| *what == known.what) {
                known.sd = *wide;
            }
        }
        list.retain(|k| k.sd > 0.0);
        let centres = holds
            .iter()
            .map(|h| Point::new(h.x / h.points.max(1) as f64, h.y / h.points.max(1) as f64))
            .collect();
        Self { list, centres }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Number of parameters of the whole list.
    pub(super) fn count(&self) -> usize {
        self.list.iter().map(|k| k.what.parameters()).sum()
    }

    /// Index of each entry's first parameter. The first `shape` parameters are those of the shape.
    pub(super) fn first(&self, shape: usize) -> Vec<usize> {
        let mut next = shape;
        self.list
            .iter()
            .map(|k| {
                let at = next;
                next += k.what.parameters();
                at
            })
            .collect()
    }

    /// Adds the parameters and their standard deviations to a system that has `shape` parameters.
    pub(super) fn join(&self, system: &mut System, shape: usize) {
        system.slots = vec![Slots::default(); self.centres.len()];
        for (&Known { what, value, sd }, parameter) in self.list.iter().zip(self.first(shape)) {
            match what {
                Common::Scale { source } => {
                    system.slots[source].scale = Some((parameter, self.centres[source]))
                }
                Common::Place { source } => system.slots[source].shift = Some(parameter),
                Common::Offset { source } => system.slots[source].offset = Some(parameter),
                Common::Tape { tape } => {
                    if system.tapes.len() <= tape {
                        system.tapes.resize(tape + 1, None);
                    }
                    system.tapes[tape] = Some(parameter);
                }
            }
            for i in 0..what.parameters() {
                system.observations.push(Observation::Prior { parameter: parameter + i, value, sd });
            }
        }
    }
}

impl Common {
    fn parameters(self) -> usize {
        if matches!(self, Self::Place { .. }) { 2 } else { 1 }
    }

    /// As said of the survey: `the scale of image.kml`.
    #[must_use]
    pub fn in_words(self, survey: &LocalSurvey) -> String {
        let name = |i: usize| {
            survey
                .sources
                .get(i)
                .map_or_else(|| "the survey".to_owned(), |n| crate::units::print::for_terminal(n))
        };
        match self {
            Self::Scale { source } => format!("the scale of {}", name(source)),
            Self::Place { source } => format!("the place of {} on the Earth", name(source)),
            Self::Offset { source } => format!("how far off the line {} was surveyed", name(source)),
            Self::Tape { tape } => match survey.tapes.get(tape) {
                Some(t) => format!("the scale of tape {}", crate::units::print::for_terminal(t)),
                None => "the scale of the tape".to_owned(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::Noise;
    use crate::frame::LocalPlane;
    use crate::survey::{GroundSpan, Observed};

    fn survey(sources: usize) -> LocalSurvey {
        let points = (0..sources)
            .flat_map(|source| {
                let at = Point::new(10.0, 0.0);
                let line = Observed { source, frame: source, ..Observed::new(at, Role::Line) };
                [line.clone(), Observed { at: Point::new(30.0, 4.0), ..line }]
            })
            .collect();
        LocalSurvey::new(LocalPlane::own(), points)
    }

    #[test]
    fn one_source_has_none_and_two_have_theirs() {
        let mut options = FitOptions::with_end_width(19.2);
        let noise = Noise { line_offset_sd_m: 0.3, scale_sd: 0.005, shift_sd_m: 2.0, ..Noise::default() };
        options.sources = vec![noise, Noise { scale_sd: 0.0, ..noise }];
        assert!(Commons::of(&survey(1), &options, &[]).is_empty());
        let wide = [(Common::Offset { source: 1 }, 4.0)];
        let c = Commons::of(&survey(2), &options, &wide);
        assert_eq!(c.list.len(), 5);
        assert_eq!(c.count(), 7);
        assert_eq!((c.list[4].what, c.list[4].sd), wide[0]);
        let mut system = System::default();
        c.join(&mut system, 9);
        assert_eq!(system.slots[0].scale, Some((9, Point::new(20.0, 2.0))));
        assert_eq!((system.slots[1].shift, system.slots[1].offset), (Some(13), Some(15)));
        assert_eq!(system.observations.len(), 7);
    }

    #[test]
    fn a_taped_length_beside_one_source_frees_its_scale_and_the_tape() {
        let mut s = survey(1);
        s.spans.push(GroundSpan {
            wing_to_wing: true,
            value_m: 130.0,
            sd_m: 0.02,
            tape: Some((0, 1e-4)),
            place: String::new(),
        });
        let mut options = FitOptions::with_end_width(19.2);
        options.noise = Noise { line_offset_sd_m: 0.3, shift_sd_m: 2.0, ..Noise::default() };
        let c = Commons::of(&s, &options, &[]);
        let known = |what, sd| Known { what, value: 0.0, sd };
        assert_eq!(c.list, [known(Common::Offset { source: 0 }, 0.3), known(Common::Tape { tape: 0 }, 1e-4)]);
    }
}
