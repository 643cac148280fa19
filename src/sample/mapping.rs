//! The mapping file that belongs to the invented exports, written for a person to read and edit.
//!
//! Made from the same lists of words as the rows. Reads nothing.

use super::Plan;
use super::calendar::{Calendar, STAFFED_HOURS, TIME_ZONE};
use super::rows::TIME_FORMAT;
use super::truths::OVERTUBE_TAUGHT_FROM;
use super::wording::{self, bleeding};
use crate::domain::codes::{
    AdverseEvent, AdverseGrade, AdverseScale, Airway, BleedFinding, Comorbidity, Device, Forrest,
    Hemostasis, MissingItem, ObjectLocation, ObjectType, Obstruction, Outcome, PassResult,
    Presentation, Rescue, Setting, Sex, Stigmata, YesNo,
};
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use std::fmt::Write;
use std::io;

/// The mapping for the exports of `plan`.
///
/// # Errors
/// When the plan has no month, or ends after the year 2200.
pub fn mapping_toml(plan: &Plan) -> io::Result<String> {
    let calendar = Calendar::new(plan.first_month, plan.months)?;
    let mut text = Text(String::new());
    text.add(&format!(
        "# How to read the invented exports of the sample. Change the words on the left to those of\n\
         # your own export; the words on the right are scopetally's and stay.\n\
         \n\
         [cases]\n\
         time_form   = \"clock\"              # \"clock\": local dates and times; \"elapsed\": minutes since the call\n\
         time_zone   = \"{TIME_ZONE}\"   # IANA name\n\
         time_format = \"{TIME_FORMAT}\"     # how a time is written, in strptime words\n\
         separator   = \"{separator}\"\n\
         missing     = [\"{missing}\"]            # words that mean \"not recorded\"; a blank always does\n",
        separator = char::from(wording::SEPARATOR),
        missing = wording::NOT_RECORDED,
    ));
    text.add_table("cases.columns", "our field = the heading in the export");
    for field in CaseField::ALL {
        if let Some(heading) = wording::case_heading(*field) {
            text.add_column(field.name(), heading);
        }
    }
    text.add_table("cases.units", "numbers that mean nothing without one");
    for (field, unit) in bleeding::UNITS {
        text.add_column(field.name(), unit);
    }
    for field in CaseField::ALL {
        if let Some(pairs) = case_words(*field) {
            text.add_codes(&format!("cases.codes.{}", field.name()), &pairs);
        }
    }

    text.add(&format!(
        "\n[passes]\nseparator = \"{}\"\n",
        char::from(wording::SEPARATOR)
    ));
    text.add_table("passes.columns", "one row each time a device goes down");
    for field in PassField::ALL {
        text.add_column(field.name(), wording::pass_heading(*field));
    }
    for field in PassField::ALL {
        if let Some(pairs) = pass_words(*field) {
            text.add_codes(&format!("passes.codes.{}", field.name()), &pairs);
        }
    }

    text.add_table(
        "staffed_hours",
        "calls at these hours are in hours, all others after hours",
    );
    let holidays: Vec<_> = calendar
        .holidays()
        .iter()
        .map(|date| format!("    \"{date}\",\n"))
        .collect();
    text.add(&format!(
        "days     = [\"mon\", \"tue\", \"wed\", \"thu\", \"fri\"]\n\
         from     = \"{:02}:00\"\n\
         to       = \"{:02}:00\"\n\
         holidays = [\n{}]\n",
        STAFFED_HOURS.0,
        STAFFED_HOURS.1,
        holidays.concat(),
    ));
    text.add_table("period", "months that the export covers completely");
    text.add(&format!(
        "from = \"{}\"\nto   = \"{}\"\n",
        plan.first_month,
        plan.last_month(),
    ));
    let (year, number) = OVERTUBE_TAUGHT_FROM;
    let taught = Month::new(year, number).expect("a month");
    if (plan.first_month..=plan.last_month()).contains(&taught) {
        text.add_table("[phase]", "a dated change, which stands on the charts");
        text.add(&format!(
            "from     = \"{taught}\"\n\
             note     = \"teaching day: overtube for sharp objects\"\n\
             measures = [\"overtube_used_sharp\", \"overtube_used\"]\n",
        ));
    }
    text.add_table("targets", "what the service wants to reach; its own choice");
    text.add(
        "call_to_scope       = 60           # minutes\n\
         overtube_used_sharp = 0.9          # a share from 0 to 1\n\
         preclean_done       = 0.95\n",
    );
    text.add_table("limits", "shares above which the run ends with exit code 1");
    text.add("rows_set_aside  = 0.02\nvalues_unusable = 0.02\n");
    Ok(text.0)
}

/// The file as far as it is written.
struct Text(String);

impl Text {
    fn add(&mut self, text: &str) {
        self.0.push_str(text);
    }

    fn add_table(&mut self, name: &str, comment: &str) {
        let heading = format!("[{name}]");
        writeln!(self.0, "\n{heading:<34} # {comment}").expect("a string takes everything");
    }

    fn add_column(&mut self, field: &str, heading: &str) {
        writeln!(self.0, "{field:<18} = \"{heading}\"").expect("a string takes everything");
    }

    fn add_codes(&mut self, table: &str, pairs: &[(&str, &str)]) {
        writeln!(self.0, "\n[{table}]").expect("a string takes everything");
        for (word, code) in pairs {
            let word = format!("\"{word}\"");
            writeln!(self.0, "{word:<26} = \"{code}\"").expect("a string takes everything");
        }
    }
}

/// Word and code of every value of a closed list.
macro_rules! pairs {
    ($list:ident, $words:path) => {
        Some(
            $list::ALL
                .iter()
                .map(|code| ($words(*code), code.code()))
                .collect(),
        )
    };
}

type Pairs = Vec<(&'static str, &'static str)>;

fn case_words(field: CaseField) -> Option<Pairs> {
    match field {
        CaseField::Presentation => pairs!(Presentation, wording::presentation),
        CaseField::Sex => pairs!(Sex, wording::sex),
        CaseField::Setting => pairs!(Setting, wording::setting),
        CaseField::ObjectType => pairs!(ObjectType, wording::object_type),
        CaseField::ObjectLocation => pairs!(ObjectLocation, wording::object_location),
        CaseField::Obstruction => pairs!(Obstruction, wording::obstruction),
        CaseField::Airway => pairs!(Airway, wording::airway),
        CaseField::Outcome => pairs!(Outcome, wording::outcome),
        CaseField::AdverseEvent => pairs!(AdverseEvent, wording::adverse_event),
        CaseField::MissingItem => pairs!(MissingItem, wording::missing_item),
        CaseField::AdverseScale => pairs!(AdverseScale, wording::adverse_scale),
        CaseField::AdverseGrade => pairs!(AdverseGrade, wording::adverse_grade),
        CaseField::Sharp
        | CaseField::Symptoms
        | CaseField::VaricealSuspected
        | CaseField::Overtube
        | CaseField::Hood
        | CaseField::Cap
        | CaseField::OnePiece
        | CaseField::BiopsiesTaken
        | CaseField::BiopsyNotIndicated
        | CaseField::CartComplete
        | CaseField::Malfunction
        | CaseField::PrecleanDone
        | CaseField::Melena
        | CaseField::Syncope
        | CaseField::HepaticDisease
        | CaseField::CardiacFailure
        | CaseField::AlteredMentalStatus
        | CaseField::PreviousLowerBleed
        | CaseField::BloodOnRectalExam => pairs!(YesNo, wording::yes_no),
        CaseField::Treatment => pairs!(Hemostasis, bleeding::treatment),
        CaseField::BleedFinding => pairs!(BleedFinding, bleeding::finding),
        CaseField::Forrest => pairs!(Forrest, bleeding::forrest),
        CaseField::Stigmata => pairs!(Stigmata, bleeding::stigmata),
        CaseField::Rescue => pairs!(Rescue, bleeding::rescue),
        CaseField::Comorbidity => pairs!(Comorbidity, bleeding::comorbidity),
        _ => None,
    }
}

fn pass_words(field: PassField) -> Option<Pairs> {
    match field {
        PassField::Device => pairs!(Device, wording::device),
        PassField::Result => pairs!(PassResult, wording::pass_result),
        PassField::Malfunction => pairs!(YesNo, wording::yes_no),
        PassField::CaseId | PassField::PassNumber => None,
    }
}
