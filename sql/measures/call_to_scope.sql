-- id:        call_to_scope
-- version:   1
-- kind:      minutes
-- title:     Call to scope in
-- question:  How long after the call did the scope go in?
-- eligible:  call and scope in recorded, 0 minutes to 14 days apart; or the case was cancelled or transferred before, 0 minutes to 14 days after the call, and is followed until then
-- hit:       minutes from call to scope in
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when scope_in_minute - called_minute >= 0
            and scope_in_minute - called_minute <= 20160
        then 1
        when scope_in_minute is null
            and outcome in ('cancelled', 'transferred')
            and ended_minute - called_minute >= 0
            and ended_minute - called_minute <= 20160
        then 1
        else 0
    end as eligible,
    coalesce(scope_in_minute, ended_minute) - called_minute as minutes,
    case when scope_in_minute is not null then 1 else 0 end as reached
from cases
