-- id:        arrival_to_scope
-- version:   1
-- kind:      minutes
-- title:     Arrival to scope in
-- question:  How long after arrival at the hospital did the scope go in?
-- eligible:  arrival and scope in recorded, 0 minutes to 30 days apart; or the case was cancelled or transferred before, 0 minutes to 30 days after arrival, and is followed until then; patients on a ward, who came earlier and for other reasons, are not of the population, those of unknown setting are
-- hit:       minutes from arrival to scope in
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when scope_in_minute - arrived_minute >= 0
            and scope_in_minute - arrived_minute <= 43200
        then 1
        when scope_in_minute is null
            and outcome in ('cancelled', 'transferred')
            and ended_minute - arrived_minute >= 0
            and ended_minute - arrived_minute <= 43200
        then 1
        else 0
    end as eligible,
    coalesce(scope_in_minute, ended_minute) - arrived_minute as minutes,
    case when scope_in_minute is not null then 1 else 0 end as reached
from cases
where setting is null
    or setting <> 'ward'
