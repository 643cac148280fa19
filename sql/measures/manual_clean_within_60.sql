-- id:        manual_clean_within_60
-- version:   1
-- kind:      share
-- title:     Manual cleaning within 60 minutes of scope out
-- question:  Did manual cleaning start within an hour of scope out?
-- eligible:  scope out and start of manual cleaning recorded, 0 minutes to 7 days apart; a case without one of the two times is not judged and never counts as in time; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       manual cleaning started at most 60 minutes after scope out
-- better:    higher
-- source:    Multisociety guideline on reprocessing, 2016, asks for manual cleaning within the time of the scope maker and prints no number; 60 minutes is common in instructions of makers, and local instructions decide
select
    case_id, site, month, shift, presentation,
    case
        when manual_clean_minute - scope_out_minute >= 0
            and manual_clean_minute - scope_out_minute <= 10080
        then 1
        else 0
    end as eligible,
    case when manual_clean_minute - scope_out_minute <= 60 then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
