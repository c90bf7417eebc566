use std::fmt::Write as _;

use coilwright_coil::condition::{CoilVerdict, Ringing};
use coilwright_coil::{Estimate, Modelled};
use serde::Serialize;

use crate::output::number::percent;
use crate::plot::Drawn;

/// Name and version of the JSON form.
const SCHEMA: &str = "coilwright.coil/1";

/// One coil, or one thing made for coils: its numbers and what is said of them.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Sheet {
    schema: &'static str,
    /// What made it: `ring_down`, `switching_edges`, `silent`, `sweep`, `reflection`, `impedance`, `injection`, `model`, `ohmmeter`, `design`, `pickup` or `stimulus`.
    pub(crate) kind: &'static str,
    /// The file or the shape.
    pub(crate) subject: String,
    /// How the numbers were found, in words.
    pub(crate) method: String,
    /// The numbers.
    pub(crate) numbers: Vec<Entry>,
    /// Whether the coil is sound, where it was compared.
    pub(crate) verdict: Option<CoilVerdict>,
    /// What is doubtful or worth knowing.
    pub(crate) notes: Vec<String>,
    /// What of the standard was not used; it stands among the notes too.
    #[serde(skip)]
    pub(crate) unjudged: Option<String>,
    /// Whether a ring-down was looked for and seen.
    #[serde(skip)]
    pub(crate) ringing: Ringing,
    /// Whether the impedance is that of leads only, so that no current flows in a winding.
    #[serde(skip)]
    pub(crate) open: bool,
    /// Lowest and highest frequency of a sweep.
    #[serde(skip)]
    pub(crate) swept_hz: Option<(f64, f64)>,
    /// What can hurt.
    pub(crate) cautions: Vec<String>,
    /// What was measured and fitted, to draw.
    #[serde(skip)]
    pub(crate) drawn: Vec<Drawn>,
    /// What stands over the next number.
    #[serde(skip)]
    heading: Option<&'static str>,
}

/// One number.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Entry {
    /// Name for programs, with its unit.
    pub(crate) key: &'static str,
    /// Name for people.
    pub(crate) name: &'static str,
    pub(crate) value: f64,
    /// One standard deviation, where it is known.
    pub(crate) std_dev: Option<f64>,
    pub(crate) unit: &'static str,
    /// The formula with its reference, for models.
    pub(crate) source: Option<String>,
    /// What stands over it in the text.
    #[serde(skip)]
    pub(crate) heading: Option<&'static str>,
}

impl Sheet {
    pub(crate) fn new(kind: &'static str, subject: String, method: &str) -> Self {
        Self {
            schema: SCHEMA,
            kind,
            subject,
            method: method.to_owned(),
            numbers: Vec::new(),
            verdict: None,
            notes: Vec::new(),
            unjudged: None,
            ringing: Ringing::NotTried,
            open: false,
            swept_hz: None,
            cautions: Vec::new(),
            drawn: Vec::new(),
            heading: None,
        }
    }

    /// Begins a part of the numbers, under a heading of its own.
    pub(crate) fn part(&mut self, heading: &'static str) {
        self.heading = Some(heading);
    }

    /// Adds a measured number.
    pub(crate) fn measured(
        &mut self,
        key: &'static str,
        name: &'static str,
        unit: &'static str,
        estimate: Estimate,
    ) {
        self.put(Entry {
            key,
            name,
            value: estimate.value,
            std_dev: Some(estimate.std_dev).filter(|d| d.is_finite()),
            unit,
            source: None,
            heading: None,
        });
    }

    /// Adds a modelled number.
    pub(crate) fn modelled(
        &mut self,
        key: &'static str,
        name: &'static str,
        unit: &'static str,
        number: &Modelled,
    ) {
        let source = format!(
            "within {}; {}; {}",
            percent(number.relative_accuracy),
            number.formula.name,
            number.formula.reference
        );
        self.sourced(key, name, unit, number.value, Some(source));
    }

    /// Adds a number that follows from others.
    pub(crate) fn plain(
        &mut self,
        key: &'static str,
        name: &'static str,
        unit: &'static str,
        value: f64,
    ) {
        self.sourced(key, name, unit, value, None);
    }

    /// Adds a number with where it comes from, if there is more to say than that it follows from others.
    pub(crate) fn sourced(
        &mut self,
        key: &'static str,
        name: &'static str,
        unit: &'static str,
        value: f64,
        source: Option<String>,
    ) {
        self.put(Entry {
            key,
            name,
            value,
            std_dev: None,
            unit,
            source,
            heading: None,
        });
    }

    /// A number without bounds is said in a note instead.
    fn put(&mut self, mut entry: Entry) {
        if entry.value.is_finite() {
            entry.heading = self.heading.take();
            self.numbers.push(entry);
        } else {
            let name = entry.name;
            self.notes
                .push(format!("No {name}: these measurements set it no limit."));
        }
    }

    /// What a number is called, by its key.
    pub(crate) fn name_of(&self, key: &str) -> Option<&'static str> {
        let entry = self.numbers.iter().find(|entry| entry.key == key)?;
        Some(entry.name)
    }

    /// A measured number by its key; none where its deviation has no bounds.
    pub(crate) fn estimate(&self, key: &str) -> Option<Estimate> {
        let entry = self.numbers.iter().find(|entry| entry.key == key)?;
        Some(Estimate::new(entry.value, entry.std_dev?))
    }
}

/// One row a number, a heading before them.
pub(crate) fn csv(sheets: &[Sheet]) -> String {
    let mut text = String::from("subject,kind,key,value,std_dev,unit\n");
    for sheet in sheets {
        let subject = sheet.subject.replace('"', "\"\"");
        for entry in &sheet.numbers {
            let std_dev = entry.std_dev.map_or(String::new(), |d| format!("{d:e}"));
            // Writing to a string cannot fail.
            let _ = writeln!(
                text,
                "\"{subject}\",{},{},{:e},{std_dev},{}",
                sheet.kind, entry.key, entry.value, entry.unit
            );
        }
    }
    text
}
