-- id:        airway_to_scope
-- version:   1
-- kind:      minutes
-- title:     Airway ready to scope in
-- question:  How long after the airway was ready did the scope go in?
-- eligible:  airway ready (tube confirmed, or sedation ready) and scope in recorded, the scope in from 10 minutes before that to 6 hours after; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population, and neither are patients recorded as awake without such a moment
-- hit:       minutes from airway ready to scope in
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case
        when scope_in_minute - airway_minute >= -10
            and scope_in_minute - airway_minute <= 360
        then 1
        else 0
    end as eligible,
    scope_in_minute - airway_minute as minutes,
    1 as reached
from cases
where (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
    and (airway_minute is not null or airway is null or airway <> 'awake')
