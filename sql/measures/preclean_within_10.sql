-- id:        preclean_within_10
-- version:   1
-- kind:      share
-- title:     Pre-clean started within 10 minutes of scope out
-- question:  Did the bedside pre-clean start within 10 minutes of scope out?
-- eligible:  scope out and start of the bedside pre-clean recorded, the start from 5 minutes before scope out (two clocks) to 24 hours after; or the pre-clean recorded as not done and without a time; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       pre-clean started at most 10 minutes after scope out; one that was not done is none
-- better:    higher
-- source:    Multisociety guideline on reprocessing, 2016, asks for the pre-clean before soil dries and prints no number; 10 minutes are a choice of this report
select
    case_id, site, month, shift, presentation,
    case
        when preclean_minute - scope_out_minute >= -5
            and preclean_minute - scope_out_minute <= 1440
        then 1
        when preclean_minute is null and preclean_done = 'no' then 1
        else 0
    end as eligible,
    case when preclean_minute - scope_out_minute <= 10 then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
