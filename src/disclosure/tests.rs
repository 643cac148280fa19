mod attack;

use super::*;
use crate::domain::counts::ALL;
use crate::domain::counts::EventsCount;
use crate::domain::counts::PassesCount;
use crate::domain::counts::ShareCount;
