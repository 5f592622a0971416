//! The tapes and lasers of a notebook, the options that may follow a measure, and the
//! corrected length of a reading.

use super::book::Tape;
use super::words::{is_name, number, positive, sd_of};
use super::{Notebook, Reader, correction};
use crate::rules::{
    TapeClass, laser_reading_sd_m, standard_temperature_c, steel_expansion, tape_reading_sd_m,
};
use crate::units::{Problem, print};

/// A tape or laser, with what is needed to correct its readings.
pub(super) struct Instrument {
    index: usize,
    name: String,
    pub(super) sd_m: Option<f64>,
    default_sd_m: f64,
    expansion: Option<f64>,
    /// True length over nominal length, minus one.
    standard: f64,
}

impl Instrument {
    pub(super) fn name(&self) -> &str {
        &self.name
    }
}

/// The options that follow the value of a measure.
#[derive(Default)]
pub(super) struct Extras {
    pub(super) sd_m: Option<f64>,
    pub(super) with: Option<usize>,
    pub(super) temperature_c: Option<f64>,
    pub(super) rise_m: Option<f64>,
}

impl Reader<'_> {
    pub(super) fn find_instrument(&self, name: &str) -> Result<usize, Problem> {
        let known = || {
            let names: Vec<String> =
                self.instruments.iter().take(8).map(|i| print::cut(&i.name, print::QUOTED_CHARS)).collect();
            if names.is_empty() {
                "describe it first: tape A: 50 m, class III".to_owned()
            } else {
                format!("known so far: {}", names.join(", "))
            }
        };
        // `with tape A` means the same as `with A`.
        let bare = ["tape ", "laser "].iter().find_map(|p| name.strip_prefix(p)).unwrap_or(name);
        self.instruments.iter().position(|i| Notebook::key(&i.name) == Notebook::key(bare)).ok_or_else(|| {
            Problem::new(format!("{} is no tape or laser of this notebook", print::quoted(name)))
                .hint(known())
        })
    }

    pub(super) fn instrument(
        &mut self,
        tape: bool,
        name: &str,
        rest: &str,
        place: &str,
    ) -> Result<(), Problem> {
        if name.is_empty() {
            return Err(Problem::new("it needs a name").hint("write: tape A: 50 m, class III"));
        }
        if !is_name(name) {
            return Err(Problem::new(format!("{} is no name for a tape", print::quoted(name)))
                .hint("1 to 60 letters, digits and blanks"));
        }
        if self.instruments.iter().any(|i| Notebook::key(&i.name) == Notebook::key(name)) {
            return Err(Problem::new(format!("{} is described twice", print::quoted(name)))
                .hint("give each tape a name of its own, or take one of the lines out"));
        }
        let (mut nominal, mut true_m, mut sd_m, mut scale, mut class, mut expansion) =
            (None, None, None, None, None, None);
        for part in rest.split(',').map(str::trim).filter(|p| !p.is_empty()) {
            let (word, value) = part.split_once(char::is_whitespace).unwrap_or((part, ""));
            match word.to_lowercase().as_str() {
                "class" => {
                    class = Some(TapeClass::find(value.trim()).ok_or_else(|| {
                        Problem::new(format!("{} is no class of tape", print::quoted(value)))
                            .hint("class I, class II or class III, as printed on it")
                    })?);
                }
                "scale" => {
                    let v = number(value, "scale")?;
                    if !(0.0..=0.05).contains(&v) {
                        return Err(Problem::new(format!("scale {v} is not between 0 and 0.05"))
                            .hint("one standard deviation as a ratio: 0.0002 is 1 cm in 50 m"));
                    }
                    scale = Some(v);
                }
                "sd" => sd_m = Some(sd_of(value)?),
                "true" => true_m = Some(positive(value, "the true length")?),
                "steel" => expansion = Some(steel_expansion().value),
                "expands" => {
                    let v = number(value, "expands")?;
                    if !(0.0..=1e-3).contains(&v) {
                        return Err(Problem::new(format!("expands {v} is not between 0 and 0.001"))
                            .hint("as a ratio for each degree Celsius: steel has 0.0000115"));
                    }
                    expansion = Some(v);
                }
                _ => nominal = Some(positive(part, "the length of the tape")?),
            }
        }
        let standard = match (true_m, nominal) {
            (Some(t), Some(n)) if (t / n - 1.0).abs() < 0.01 => t / n - 1.0,
            (Some(_), Some(_)) => {
                return Err(Problem::new(
                    "the true length differs from the printed one by over 1 %: true is what the tape measures when it reads its printed length",
                ));
            }
            (Some(_), None) => {
                return Err(
                    Problem::new("a true length needs the printed one too").hint("tape A: 50 m, true 50.012")
                );
            }
            (None, _) => 0.0,
        };
        // Class III, which shops sell, unless the tape was compared
        // with a standard, has a scale, or is a laser.
        let class = class.or((tape && true_m.is_none() && scale.is_none()).then_some(TapeClass::III));
        let scale_sd = scale.or(class.map(|c| c.scale_sd().value)).unwrap_or(0.0);
        let reading = if tape { tape_reading_sd_m().value } else { laser_reading_sd_m().value };
        let default_sd_m = reading.hypot(class.map_or(0.0, |c| c.zero_sd_m().value));
        self.book.tapes.push(Tape { name: name.to_owned(), scale_sd, place: place.to_owned() });
        self.instruments.push(Instrument {
            index: self.book.tapes.len() - 1,
            name: name.to_owned(),
            sd_m,
            default_sd_m,
            expansion,
            standard,
        });
        Ok(())
    }

    pub(super) fn extras<'t>(
        &mut self,
        parts: impl Iterator<Item = &'t str>,
        place: &str,
    ) -> Result<Extras, Problem> {
        let mut e = Extras::default();
        for part in parts.map(str::trim).filter(|p| !p.is_empty()) {
            let (word, value) = part.split_once(char::is_whitespace).unwrap_or((part, ""));
            match word.to_lowercase().as_str() {
                "sd" => e.sd_m = Some(sd_of(value)?),
                "with" => e.with = Some(self.find_instrument(value.trim())?),
                "rise" => e.rise_m = Some(number(value, "rise")?),
                _ => {
                    let bare = part.trim_end_matches(['C', 'c']).trim_end_matches(['°', ' ']);
                    match bare.parse::<f64>() {
                        Ok(v) if bare.len() < part.len() && (-30.0..=80.0).contains(&v) => {
                            e.temperature_c = Some(v)
                        }
                        Ok(_) => {
                            return Err(Problem::new(format!(
                                "{} after a comma is not understood",
                                print::quoted(part)
                            ))
                            .hint("decimals are written with a point; a temperature as 31 C"));
                        }
                        Err(_) if self.notes(part, place) => {}
                        Err(_) => {
                            return Err(Problem::new(format!("{} is not understood", print::quoted(part)))
                                .hint("a measure takes sd 0.02, with A, 31 C, rise 0.7"));
                        }
                    }
                }
            }
        }
        Ok(e)
    }

    /// The corrected length of a reading, its standard deviation and its tape.
    pub(super) fn corrected(&self, read_m: f64, e: &Extras) -> Result<(f64, f64, Option<usize>), Problem> {
        let instrument = self.instruments.get(e.with.or(self.with).unwrap_or(0));
        let mut value = read_m;
        if let Some(t) = e.temperature_c {
            let expansion = instrument.and_then(|i| i.expansion).ok_or_else(|| {
                Problem::new("a temperature needs a tape whose expansion is known")
                    .hint("add steel to the tape's line, or leave the temperature out")
            })?;
            value += correction::temperature_m(read_m, expansion, t, standard_temperature_c().value);
        }
        value += correction::standard_m(read_m, 1.0 + instrument.map_or(0.0, |i| i.standard), 1.0);
        if let Some(h) = e.rise_m {
            value += correction::rise_m(read_m, h).ok_or_else(|| {
                Problem::new(format!("a rise of {h} m is more than the {read_m} m that were measured"))
            })?;
        }
        let default = instrument.map_or(tape_reading_sd_m().value, |i| i.sd_m.unwrap_or(i.default_sd_m));
        Ok((value, e.sd_m.unwrap_or(default), instrument.map(|i| i.index)))
    }
}
