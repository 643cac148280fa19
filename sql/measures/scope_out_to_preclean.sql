-- id:        scope_out_to_preclean
-- version:   1
-- kind:      minutes
-- title:     Scope out to pre-clean start
-- question:  How long after the last scope came out did the bedside pre-clean start?
-- eligible:  scope out and start of the bedside pre-clean recorded, the start from 5 minutes before scope out (two clocks) to 24 hours after; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population; cases recorded as without a pre-clean, and without its time, are not of the population
-- hit:       minutes from scope out to the start of the pre-clean
-- better:    lower
-- source:    Multisociety guideline on reprocessing, 2016, asks for the pre-clean at the point of use before soil dries, and prints no number of minutes
select
    case_id, site, month, shift, presentation,
    case
        when preclean_minute - scope_out_minute >= -5
            and preclean_minute - scope_out_minute <= 1440
        then 1
        else 0
    end as eligible,
    preclean_minute - scope_out_minute as minutes,
    1 as reached
from cases
where (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
    and (preclean_minute is not null or preclean_done is null or preclean_done <> 'no')
