-- id:        scoped_within_window
-- version:   2
-- kind:      share
-- title:     Scoped within the latest time of the guideline
-- question:  Did the scope go in within the time that the guideline for this kind of case gives?
-- eligible:  a window with a time fits the case, its start is recorded, and the scope went in, 0 minutes to 30 days after it; a case that no window can be assigned to, and one for which the guideline gives no time, are not judged; a patient on a ward has no start where windows count from arrival; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       whole minutes from the start of the window to scope in are at most the longest that the window allows: 360 for within 6 hours, 119 for less than 2 hours
-- better:    higher
-- source:    ESGE 2016, ASGE 2011, NASPGHAN 2015, ESPGHAN 2021, ACG 2021 and ESGE 2021; window by window, with how each was checked, in sql/urgency_windows.csv; a site may choose others
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway, window_id,
    case
        when age_group = 'pediatric' then 'child'
        when age_group is not null then 'adult'
    end as adult_or_child,
    case
        when window_id is null then 'not_assignable'
        when window_minutes is null then 'no_time'
        when window_start_minute is null then 'no_start'
        when scope_in_minute is null then 'no_scope_in'
        when scope_in_minute - window_start_minute >= 0
            and scope_in_minute - window_start_minute <= 43200
        then 'judged'
        else 'out_of_range'
    end as why_not_judged,
    case
        when window_minutes is not null
            and scope_in_minute - window_start_minute >= 0
            and scope_in_minute - window_start_minute <= 43200
        then 1
        else 0
    end as eligible,
    case
        when scope_in_minute - window_start_minute <= window_minutes then 1
        else 0
    end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
