//! How the numbers of a comparison were computed, in a word for tables and a sentence for pages.

use crate::findings::finding::Method;

/// How an estimate of a comparison and its interval were computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ComparisonMethod {
    /// Difference of two shares, Newcombe's interval.
    Newcombe,
    /// Mantel-Haenszel risk difference, Sato's interval.
    MantelHaenszelDifference,
    /// Mantel-Haenszel odds ratio, Robins-Breslow-Greenland interval.
    MantelHaenszelOddsRatio,
    /// Exact conditional odds ratio over strata.
    ConditionalOddsRatio,
    /// Breslow and Day's test with Tarone's correction.
    BreslowDayTarone,
    /// Standardized difference over categories.
    CategoryDistance,
    /// Beta-binomial model of cases.
    BetaBinomial,
    /// Beta-binomial model of passes, each unit at its effective size.
    BetaBinomialEffective,
    /// One share, with the interval that findings give it.
    Share(Method),
}

impl ComparisonMethod {
    /// Every method, in the order of pages.
    pub const ALL: [ComparisonMethod; 11] = [
        ComparisonMethod::BetaBinomial,
        ComparisonMethod::BetaBinomialEffective,
        ComparisonMethod::MantelHaenszelDifference,
        ComparisonMethod::MantelHaenszelOddsRatio,
        ComparisonMethod::ConditionalOddsRatio,
        ComparisonMethod::BreslowDayTarone,
        ComparisonMethod::CategoryDistance,
        ComparisonMethod::Newcombe,
        ComparisonMethod::Share(Method::Wilson),
        ComparisonMethod::Share(Method::ClopperPearson),
        ComparisonMethod::Share(Method::Jeffreys),
    ];

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            ComparisonMethod::Newcombe => "newcombe",
            ComparisonMethod::MantelHaenszelDifference => "mantel_haenszel_sato",
            ComparisonMethod::MantelHaenszelOddsRatio => "mantel_haenszel_robins_breslow_greenland",
            ComparisonMethod::ConditionalOddsRatio => "exact_conditional",
            ComparisonMethod::BreslowDayTarone => "breslow_day_tarone",
            ComparisonMethod::CategoryDistance => "category_distance",
            ComparisonMethod::BetaBinomial => "beta_binomial",
            ComparisonMethod::BetaBinomialEffective => "beta_binomial_effective",
            ComparisonMethod::Share(method) => method.code(),
        }
    }

    /// A few words for the columns of a page.
    pub const fn name(self) -> &'static str {
        match self {
            ComparisonMethod::Newcombe => "Newcombe",
            ComparisonMethod::MantelHaenszelDifference => "Mantel-Haenszel, Sato",
            ComparisonMethod::MantelHaenszelOddsRatio => {
                "Mantel-Haenszel, Robins-Breslow-Greenland"
            }
            ComparisonMethod::ConditionalOddsRatio => "exact conditional",
            ComparisonMethod::BreslowDayTarone => "Breslow-Day, Tarone",
            ComparisonMethod::CategoryDistance => "standardized difference",
            ComparisonMethod::BetaBinomial | ComparisonMethod::BetaBinomialEffective => {
                "beta-binomial"
            }
            ComparisonMethod::Share(Method::ClopperPearson) => "Clopper-Pearson",
            ComparisonMethod::Share(Method::Jeffreys) => "Jeffreys",
            ComparisonMethod::Share(_) => "Wilson",
        }
    }

    /// A sentence for the methods section of a report.
    pub const fn sentence(self) -> &'static str {
        match self {
            ComparisonMethod::Newcombe => {
                "Difference of the shares of two groups of cases, with the interval by method 10 of \
                 Newcombe (1998)."
            }
            ComparisonMethod::MantelHaenszelDifference => {
                "Difference of shares common to all object types (Mantel-Haenszel weights), with \
                 the interval of Sato (1989). The test beside it is that of Cochran, Mantel and \
                 Haenszel without continuity correction, or the exact one where the odds ratio is."
            }
            ComparisonMethod::MantelHaenszelOddsRatio => {
                "Odds ratio common to all object types (Mantel and Haenszel 1959), with the \
                 interval of Robins, Breslow and Greenland (1986)."
            }
            ComparisonMethod::ConditionalOddsRatio => {
                "Odds ratio common to all object types, with its interval and test from the \
                 probabilities of all counts that the margins allow; taken instead of the \
                 Mantel-Haenszel odds ratio where cases are few (rule of Mantel and Fleiss 1980). \
                 Cautious: its intervals are mostly too wide."
            }
            ComparisonMethod::BreslowDayTarone => {
                "Whether the odds ratio is the same in all object types: test of Breslow and Day \
                 (1980) with the correction of Tarone (1985). With few cases it seldom says no."
            }
            ComparisonMethod::CategoryDistance => {
                "How far apart two groups are in what they were used for, in standard deviations, \
                 over all categories at once (Yang and Dalton 2012)."
            }
            ComparisonMethod::BetaBinomial => {
                "Share drawn toward those of the other devices used for the same object type, the \
                 more the fewer cases it has: beta-binomial model by maximum likelihood, in \
                 which the share of all devices weighs at least as much as one case. Its interval \
                 takes the spread between devices as known, so with few devices it is too narrow."
            }
            ComparisonMethod::BetaBinomialEffective => {
                "The same for passes: since passes of one case go together, each device counts \
                 with its effective number of passes, rounded where the spread between devices is \
                 estimated."
            }
            ComparisonMethod::Share(method) => method.sentence(),
        }
    }
}
