//! What a site assumes and asks of its staffing: rules, the list of its cart, and scenarios.

use super::cart_item::CartItem;
use std::collections::BTreeMap;

/// Hours of a week.
pub const WEEK_HOURS: usize = 7 * 24;

/// Everything that a site says of its staffing. The default holds where it says nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct DutyPlan {
    /// How calls become call-backs, nights and rest.
    pub rules: DutyRules,
    /// What the cart carries and how it is filled again.
    pub cart: CartRules,
    /// How the scenarios are simulated.
    pub simulation: SimulationRules,
    /// Who could be on call, in the order given.
    pub scenarios: Vec<Scenario>,
}

/// How calls become call-backs, nights and rest. Minutes unless said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DutyRules {
    /// A call up to so long after the team was free again belongs to the same call-back.
    pub merge_minutes: i64,
    /// For how long a team is bound after the scope is out where its release is not recorded.
    pub wrap_up_minutes: i64,
    /// When a night begins, in minutes after midnight on the local clock.
    pub night_from: u16,
    /// When a night ends, on the next day where that is not later.
    pub night_until: u16,
    /// Rest between the end of a call-back and the next shift that is not short.
    pub min_rest_minutes: i64,
}

/// What the cart carries and how it is filled again.
#[derive(Clone, Debug, PartialEq)]
pub struct CartRules {
    /// Days from the use of an item until it is on the cart again.
    pub lead_days: u32,
    /// Probability that the stock lasts for these days, above 0 and below 1.
    pub service_level: f64,
    /// What it carries today; empty where the site does not say.
    pub items: BTreeMap<CartItem, CarriedItem>,
}

/// An item that the cart carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CarriedItem {
    /// Pieces today.
    pub carried: u16,
    /// Days from delivery until it expires.
    pub shelf_life_days: Option<u32>,
}

/// How the scenarios are simulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SimulationRules {
    /// Simulated years of each scenario.
    pub years: u32,
    /// The same seed gives the same numbers.
    pub seed: u64,
    /// Where calls come from.
    pub arrivals: Arrivals,
}

/// Where the calls of a simulation come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrivals {
    /// A Poisson process whose rate changes over the week as that of the records does.
    Fitted,
    /// Whole weeks of the records, drawn with replacement.
    Weeks,
}

/// One arrangement of teams.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scenario {
    /// Its name, unique among the scenarios.
    pub name: String,
    /// The site whose calls are simulated; `None` for each site by itself.
    pub site: Option<String>,
    /// The teams; a call takes the first free one in this order.
    pub teams: Vec<ScenarioTeam>,
}

/// A team that takes one call at a time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScenarioTeam {
    /// Whether it is on duty, hour by hour from Monday 00:00 on. What it has begun it ends.
    pub on_duty: [bool; WEEK_HOURS],
    /// From where it comes.
    pub place: Place,
}

/// From where a team comes to a bedside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// It is in the house and needs so many minutes.
    InHouse {
        /// From call to bedside.
        minutes: u16,
    },
    /// It comes from home. A team that is still in the house after a case does not travel again.
    Home {
        /// From call to bedside; `None` to draw the recorded times from call to team.
        minutes: Option<u16>,
    },
}

impl Default for DutyPlan {
    fn default() -> DutyPlan {
        let always = |place| ScenarioTeam {
            on_duty: [true; WEEK_HOURS],
            place,
        };
        let recorded = Place::Home { minutes: None };
        let scenario = |name: &str, teams| Scenario {
            name: name.to_owned(),
            site: None,
            teams,
        };
        DutyPlan {
            rules: DutyRules {
                merge_minutes: 60,
                wrap_up_minutes: 30,
                night_from: 22 * 60,
                night_until: 7 * 60,
                min_rest_minutes: 8 * 60,
            },
            cart: CartRules {
                lead_days: 7,
                service_level: 0.99,
                items: BTreeMap::new(),
            },
            simulation: SimulationRules {
                years: 1000,
                seed: 1,
                arrivals: Arrivals::Fitted,
            },
            scenarios: vec![
                scenario("One team at all hours", vec![always(recorded)]),
                scenario("Two teams at all hours", vec![always(recorded); 2]),
            ],
        }
    }
}
