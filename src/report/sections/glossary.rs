//! The words of the report in everyday language.

/// Each term with its meaning.
pub(super) fn terms() -> Vec<(String, Vec<String>)> {
    TERMS
        .iter()
        .map(|(term, meaning)| ((*term).to_owned(), vec![(*meaning).to_owned()]))
        .collect()
}

const TERMS: [(&str, &str); 27] = [
    (
        "n of N",
        "Cases that meet the definition, and cases that could be judged.",
    ),
    (
        "Interval",
        "The values that fit the data. Made anew from data of the same kind over and over, intervals \
         hold the true value as often as their level says.",
    ),
    ("Median", "Half of the cases took no longer."),
    (
        "Middle half",
        "From the lower to the upper quartile: a quarter of the cases lie below it, a quarter above.",
    ),
    (
        "90th percentile, nine of ten within",
        "Nine of ten cases took no longer.",
    ),
    (
        "Not followed to the end",
        "Cancelled or transferred before; the time until then still counts.",
    ),
    (
        "Not reached",
        "Too few cases got that far to say how long that many take.",
    ),
    (
        "Not judged",
        "The definition does not fit the case, such as a window for which no guideline row fits, or a \
         value that it needs is missing or impossible.",
    ),
    ("Pass", "One device going down once."),
    ("Site-day", "One site observed for one day."),
    (
        "Call",
        "The moment at which the service was asked to come. A case belongs to the month of its call.",
    ),
    (
        "Window",
        "The time within which a guideline wants the scope in, by what is stuck or bleeding.",
    ),
    (
        "Overtube",
        "A tube over the scope that keeps the way out open and covers what is pulled through it.",
    ),
    (
        "Baseline",
        "The first months of a chart, from which its lines are computed once. Later months do not \
         move them.",
    ),
    (
        "Center line",
        "Where the months of the baseline lie on average; on a run chart their median.",
    ),
    (
        "Limits",
        "How far a month may lie from the center line by chance alone, nearly always.",
    ),
    (
        "Run",
        "Months that follow one another on the same side of the center line.",
    ),
    (
        "Crossing",
        "From one month to the next, a change of the side of the center line.",
    ),
    (
        "Rule met",
        "A pattern that chance seldom makes when nothing changed. It does happen by chance, and the \
         page says how often.",
    ),
    (
        "Dated change",
        "A change in the service that the mapping names with its month, drawn on the charts.",
    ),
    (
        "Target",
        "The level that the site set for itself in the mapping. No guideline stands behind it.",
    ),
    (
        "Drawn toward the others",
        "An estimate of a small group moved toward those of the other groups, because small groups \
         scatter most.",
    ),
    (
        "Bonferroni",
        "An interval widened so that all intervals of its kind hold together as often as one alone \
         would: the more are looked at, the wider each.",
    ),
    (
        "Log-log",
        "A way to make the interval of a curve, on a scale on which it cannot go below 0% or above \
         100%.",
    ),
    (
        "Lag-1 correlation",
        "How much each month resembles the month before, from -1 to 1; near 0 not at all.",
    ),
    (
        "Winsorized",
        "The values farthest out on either side, here a tenth of them, moved in to the next ones, so \
         that a few odd sites do not decide for all.",
    ),
    (
        "Additive",
        "Variance between sites added to that of counting, so that limits of large sites widen too.",
    ),
];
