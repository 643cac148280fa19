-- id:        scope_in_to_out
-- version:   1
-- kind:      minutes
-- title:     Scope in to scope out
-- question:  How long was the scope in?
-- eligible:  scope in and scope out recorded, 1 minute to 12 hours apart; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       minutes from scope in to scope out
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when scope_out_minute - scope_in_minute >= 1
            and scope_out_minute - scope_in_minute <= 720
        then 1
        else 0
    end as eligible,
    scope_out_minute - scope_in_minute as minutes,
    1 as reached
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
