//! `review`: the report of one month, from the exports to the finished directory.

use super::inputs::{InputArguments, Needs, Read};
use super::outputs::{
    inputs, made_on, write_cases_to_review, write_issues, write_table, write_words,
};
use super::{Outcome, agreed, console, limits, measures, site, summary};
use crate::domain::counts::CountTables;
use crate::domain::fields::CaseField;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::review_rules::{CaseToReview, ReviewRule, review_rules};
use crate::export::comparisons::comparisons_table;
use crate::export::counts::count_tables;
use crate::export::curves::{curves_table, ends_table};
use crate::export::data_quality::data_quality_table;
use crate::export::directory::OutputDirectory;
use crate::export::findings::findings_table;
use crate::export::funnel::funnel_table;
use crate::export::headlines::headlines_table;
use crate::export::manifest::{self, Input, Manifest, Period, RowsRead, issue_tallies};
use crate::export::sha256::sha256_hex;
use crate::export::signals::{signal_charts_table, signals_table};
use crate::export::table::Format;
use crate::findings::cart::missing_from_carts;
use crate::findings::cases_to_look_at::{check_list, rule_tallies};
use crate::findings::comparisons::{CaseOrder, Comparisons, HARM};
use crate::findings::curves::Curves;
use crate::findings::drift::{CALLS, drift};
use crate::findings::estimate::{Settings, ShareMethod, findings};
use crate::findings::flow::Flow;
use crate::findings::funnel::funnels;
use crate::findings::headline::{MONTHS_BEFORE, headlines, months_before};
use crate::findings::heaping::heaping;
use crate::findings::review::{DataQuality, Review, ReviewInput};
use crate::findings::signals::signals;
use crate::ingest::{Ingested, with_value};
use crate::measure::{self, InOrder};
use crate::report::{self, ChartImage};
use crate::stats::Level;
use anyhow::bail;
use clap::{Args, ValueEnum};
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

/// Options of `review`.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    inputs: InputArguments,
    /// Month in view; without it, the last month of the period.
    #[arg(long, value_name = "YYYY-MM")]
    month: Option<Month>,
    /// Count the cases of this site alone, named as in the export. Without it, all sites are counted
    /// together and stand side by side where numbers are split by site.
    #[arg(long, value_name = "NAME")]
    site: Option<String>,
    /// Directory for the outputs; one that an earlier run made is replaced. Without it,
    /// reports/<month in view>, or reports/<month in view>-<site> with `--site`.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Also count the measures of this directory.
    #[arg(long, value_name = "DIR")]
    measures: Option<PathBuf>,
    /// How the interval of a share of cases is made.
    #[arg(long, value_enum, default_value_t = ShareInterval::Wilson)]
    share_interval: ShareInterval,
    /// Also list the words that the mapping does not know below internal/, with what they probably
    /// mean. The list holds text of cells and stays on your premises.
    #[arg(long)]
    list_words: bool,
    /// Print warnings and errors only.
    #[arg(long)]
    quiet: bool,
}

/// The words of `--share-interval`.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum ShareInterval {
    /// Close to 95 percent coverage on average.
    Wilson,
    /// At least 95 percent coverage, so wider: for statements of safety.
    ClopperPearson,
    /// Equal tails of the Bayesian interval with Jeffreys' prior.
    Jeffreys,
}

impl ShareInterval {
    fn method(self) -> ShareMethod {
        match self {
            ShareInterval::Wilson => ShareMethod::Wilson,
            ShareInterval::ClopperPearson => ShareMethod::ClopperPearson,
            ShareInterval::Jeffreys => ShareMethod::Jeffreys,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> anyhow::Result<Outcome> {
    let definitions = measures::load(arguments.measures.as_deref())?;
    let made_on = made_on()?;
    // Before the exports are read: who has to choose another directory should not wait for it.
    let chosen = arguments
        .out
        .as_deref()
        .map(OutputDirectory::create)
        .transpose()?;
    let mut read = arguments.inputs.read(Needs {
        most_cases: usize::MAX,
        issue_list: true,
        hashes: true,
        is_quiet: arguments.quiet,
    })?;
    agreed::check(&read.mapping, &definitions)?;
    if let Some(site) = &arguments.site {
        read.ingested = site::only(read.ingested, site)?;
    }
    let observed = read.observed()?;
    let month = month_in_view(arguments.month, observed)?;
    let mut directory = match chosen {
        Some(directory) => directory,
        None => OutputDirectory::create(&default_directory(arguments, &read, month))?,
    };
    let ingested = &read.ingested;
    let (counts, order) = counts(&read, &definitions, month)?;
    let settings = Settings {
        level: Level::P95,
        share_method: arguments.share_interval.method(),
    };
    let flow = Flow::new(
        ingested.cases_accounting,
        ingested.passes_accounting,
        counted_cases(arguments, ingested),
        &counts,
        &definitions,
    )?;
    let rules = review_rules();
    let to_look_at = rule_tallies(&counts, &definitions, &rules, observed.0, month);
    let list = list_of(ingested, month, &definitions, &rules)?;
    check_list(&to_look_at, &list)?;
    let mut review = review(
        &read,
        observed,
        definitions,
        (counts, flow, order),
        month,
        settings,
        made_on,
    );
    let files = inputs(&read)?;
    review.inputs = files.iter().map(as_shown).collect();
    review.site.clone_from(&arguments.site);
    review.to_look_at = to_look_at;
    let crossed = limits::crossed(&read);

    let page = report::page(&review);
    directory.write("report.html", page.html.as_bytes())?;
    directory.write("summary.md", page.summary.as_bytes())?;
    let threads = arguments.inputs.threads();
    let (pdf, pngs) = std::thread::scope(|scope| {
        let pdf = scope.spawn(|| page.pdf.bytes());
        let pngs = painted(&page.charts, threads);
        (pdf.join().expect("setting pages does not panic"), pngs)
    });
    directory.write("report.pdf", &pdf)?;
    for (chart, png) in page.charts.iter().zip(pngs) {
        directory.write(
            &format!("charts/{}.svg", chart.stem()),
            chart.svg().as_bytes(),
        )?;
        directory.write(&format!("charts/{}.png", chart.stem()), &png)?;
    }
    for table in [
        findings_table(&review.findings)?,
        headlines_table(&review)?,
        comparisons_table(&review)?,
        signals_table(&review.signals)?,
        signal_charts_table(&review.signals)?,
        curves_table(&review)?,
        ends_table(&review)?,
        funnel_table(&review)?,
        data_quality_table(&review)?,
    ] {
        write_table(&mut directory, "tables", &table, &Format::ALL)?;
    }
    for table in count_tables(&review.counts)? {
        write_table(
            &mut directory,
            "counts",
            &table,
            &[Format::Csv, Format::Parquet],
        )?;
    }
    write_issues(&mut directory, &read)?;
    write_cases_to_review(&mut directory, &list, &read.mapping)?;
    if arguments.list_words {
        write_words(&mut directory, &read)?;
    }
    let manifest = manifest(
        arguments,
        &read,
        files,
        &review,
        &crossed,
        directory.written(),
    )?;
    directory.write(manifest::FILE_NAME, manifest.to_json().as_bytes())?;
    let target = directory.finish()?;

    if !arguments.quiet {
        summary::print_review(&review);
        summary::print_read(&read);
        summary::print_flow(&review.flow);
        summary::print_to_look_at(&list, &target);
        let page = target.join("report.html");
        console::labeled_lines("report", &[page.display().to_string()]);
    }
    agreed::warn(&read, observed);
    summary::warn_of_coverage(ingested);
    summary::warn_of_scores(ingested);
    limits::warn(&crossed);
    Ok(Outcome::of(&crossed))
}

fn as_shown(input: &Input) -> ReviewInput {
    ReviewInput {
        role: input.role.clone(),
        sha256: input.sha256.clone(),
    }
}

fn month_in_view(asked_for: Option<Month>, (first, last): (Month, Month)) -> anyhow::Result<Month> {
    match asked_for {
        None => Ok(last),
        Some(month) if (first..=last).contains(&month) => Ok(month),
        Some(month) => {
            bail!("--month {month} lies outside the records, which cover {first} to {last}")
        }
    }
}

fn default_directory(arguments: &Arguments, read: &Read, month: Month) -> PathBuf {
    let month = month.to_string();
    match &arguments.site {
        Some(site) => site::directory(&month, site, &read.ingested.cases_by_site),
        None => Path::new("reports").join(month),
    }
}

/// Accepted cases that are counted.
fn counted_cases(arguments: &Arguments, ingested: &Ingested) -> u64 {
    match &arguments.site {
        Some(site) => ingested.cases_by_site.get(site).copied().unwrap_or(0),
        None => ingested.cases_accounting.accepted,
    }
}

/// The cases of the month in view that somebody should read. Only that month is looked at, since the
/// rows of a measure are needed for them.
fn list_of(
    ingested: &Ingested,
    month: Month,
    definitions: &[Definition],
    rules: &[ReviewRule],
) -> anyhow::Result<Vec<CaseToReview>> {
    let month = month.to_string();
    let (cases, passes) = with_value(&ingested.cases, &ingested.passes, CaseField::Month, &month);
    Ok(measure::cases_to_review(
        &cases,
        &passes,
        definitions,
        rules,
    )?)
}

fn review(
    read: &Read,
    (first_month, last_month): (Month, Month),
    definitions: Vec<Definition>,
    (counts, flow, order): (CountTables, Flow, CaseOrder),
    month: Month,
    settings: Settings,
    made_on: Option<String>,
) -> Review {
    let ingested = &read.ingested;
    Review {
        site: None,
        month,
        first_month,
        last_month,
        months_before: month
            .since(first_month)
            .clamp(0, MONTHS_BEFORE)
            .unsigned_abs(),
        window_start: read.mapping.window_start().to_string(),
        units: read.mapping.units().collect(),
        windows: read.mapping.guideline_windows(),
        headlines: headlines(&counts, &definitions, first_month, month, settings),
        before: months_before(&counts, &definitions, first_month, month, settings),
        missing: missing_from_carts(&counts, settings),
        findings: findings(&counts, settings),
        to_look_at: Vec::new(),
        comparisons: Comparisons::new(&counts, &definitions, &order, settings),
        signals: signals(
            &counts,
            &definitions,
            first_month,
            month,
            read.mapping.phases(),
            read.mapping.baseline_months(),
        ),
        curves: Curves::new(&counts, settings),
        funnels: funnels(&counts, first_month, month),
        phases: read.mapping.phases().to_vec(),
        staffed_week: read.mapping.staffed_week(),
        targets: read.mapping.targets().clone(),
        quality: DataQuality {
            cases: ingested.cases_accounting,
            passes: ingested.passes_accounting,
            issues: ingested.issues.tallies(),
            completeness: ingested.completeness.clone(),
            recording: ingested.recording.clone(),
            heaping: heaping(&ingested.recording, month, settings.level),
            drift: definitions
                .iter()
                .find(|definition| definition.id == CALLS)
                .and_then(|calls| drift(&counts, calls, first_month, month, settings.level)),
        },
        definitions,
        counts,
        flow,
        inputs: Vec::new(),
        level: settings.level.fraction(),
        tool_version: env!("CARGO_PKG_VERSION"),
        made_on,
    }
}

/// The count tables, and the order of events of harm up to the month in view where times tell it.
fn counts(
    read: &Read,
    definitions: &[Definition],
    month: Month,
) -> anyhow::Result<(CountTables, CaseOrder)> {
    let ingested = &read.ingested;
    let has_order = read.mapping.has_clock_times();
    let in_order = InOrder {
        measures: if has_order { &HARM } else { &[] },
        last_month: Some(month),
    };
    let (tables, sequences) = measure::count_in_order(
        &ingested.cases,
        &ingested.passes,
        &ingested.exposure,
        definitions,
        &in_order,
    )?;
    let order = if has_order {
        CaseOrder::Known(sequences)
    } else {
        CaseOrder::Elapsed
    };
    Ok((tables, order))
}

/// The PNG of every chart, in their order. Painting and packing pixels is most of the work of a
/// small review, so each thread takes its part.
fn painted(charts: &[ChartImage], threads: NonZeroUsize) -> Vec<Vec<u8>> {
    let part = charts.len().div_ceil(threads.get()).max(1);
    std::thread::scope(|scope| {
        let parts: Vec<_> = charts
            .chunks(part)
            .map(|part| scope.spawn(|| part.iter().map(ChartImage::png).collect::<Vec<_>>()))
            .collect();
        parts
            .into_iter()
            .flat_map(|part| part.join().expect("painting does not panic"))
            .collect()
    })
}

fn manifest(
    arguments: &Arguments,
    read: &Read,
    inputs: Vec<Input>,
    review: &Review,
    crossed: &[String],
    outputs: &[String],
) -> anyhow::Result<Manifest> {
    let share_interval = format!("{:?}", arguments.share_interval.method());
    let mut options = BTreeMap::from([
        ("level".to_string(), review.level.to_string()),
        ("share_interval".to_string(), share_interval),
    ]);
    if let Some(site) = &review.site {
        options.insert("site".to_string(), site.clone());
    }
    Ok(Manifest {
        command: "review".into(),
        month: Some(review.month),
        period: Some(Period {
            first: review.first_month,
            last: review.last_month,
        }),
        options,
        inputs,
        mapping_sha256: Some(sha256_hex(read.mapping.bytes())?),
        measures: review
            .definitions
            .iter()
            .map(manifest::Measure::from)
            .collect(),
        accounting: Some(RowsRead {
            cases: review.quality.cases.into(),
            passes: review.quality.passes.map(manifest::Rows::from),
            passes_in_cases: read.ingested.passes_inside_cases,
        }),
        flow: review
            .flow
            .measures
            .iter()
            .map(manifest::Flow::from)
            .collect(),
        issues: issue_tallies(&review.quality.issues),
        window_start: review.window_start.clone(),
        windows: review.windows.iter().map(manifest::Window::from).collect(),
        limits_crossed: crossed.to_vec(),
        made_on: review.made_on.clone(),
        outputs: outputs.to_vec(),
    })
}
