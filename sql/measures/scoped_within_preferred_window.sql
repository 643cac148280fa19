-- id:        scoped_within_preferred_window
-- version:   1
-- kind:      share
-- title:     Scoped within the time that the guideline prefers
-- question:  Where the guideline prefers a shorter time than the latest that it allows, did the scope go in within that?
-- eligible:  a window with a preferred time fits the case, its start is recorded, and the scope went in, 0 minutes to 30 days after it; in the built-in table these are the emergent windows for adults of ESGE 2016, which prefers 2 hours and allows 6; cases of which the window names one time only or none, or that no window can be assigned to, are not of the population, nor are cases cancelled or transferred before the scope went in, that is with no scope in recorded; a patient on a ward has no start where windows count from arrival, and is not judged
-- hit:       whole minutes from the start of the window to scope in are at most the time that the guideline prefers: 120 for within 2 hours
-- better:    higher
-- source:    ESGE 2016; window by window in sql/urgency_windows.csv
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway, window_id,
    case
        when scope_in_minute - window_start_minute >= 0
            and scope_in_minute - window_start_minute <= 43200
        then 1
        else 0
    end as eligible,
    case
        when scope_in_minute - window_start_minute <= preferred_minutes then 1
        else 0
    end as hit
from cases
where preferred_minutes is not null
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
