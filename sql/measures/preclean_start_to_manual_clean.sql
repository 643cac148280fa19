-- id:        preclean_start_to_manual_clean
-- version:   1
-- kind:      minutes
-- title:     Pre-clean start to manual cleaning
-- question:  Counted from the start of the bedside pre-clean, how long was it until manual cleaning started?
-- eligible:  start of the bedside pre-clean and start of manual cleaning recorded, the cleaning from 5 minutes before that (two clocks) to 7 days after; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population; cases recorded as without a pre-clean, and without its time, are not of the population
-- hit:       minutes from the start of the pre-clean to the start of manual cleaning
-- better:    lower
-- source:    Multisociety guideline on reprocessing, 2016, asks for manual cleaning within the time of the scope maker and prints no number; pages disagree on when that clock starts, this is start (b) of three
select
    case_id, site, month, shift, presentation,
    case
        when manual_clean_minute - preclean_minute >= -5
            and manual_clean_minute - preclean_minute <= 10080
        then 1
        else 0
    end as eligible,
    manual_clean_minute - preclean_minute as minutes,
    1 as reached
from cases
where (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
    and (preclean_minute is not null or preclean_done is null or preclean_done <> 'no')
