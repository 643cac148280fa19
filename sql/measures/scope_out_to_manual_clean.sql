-- id:        scope_out_to_manual_clean
-- version:   1
-- kind:      minutes
-- title:     Scope out to manual cleaning
-- question:  Counted from scope out, how long was it until manual cleaning started?
-- eligible:  scope out and start of manual cleaning recorded, 0 minutes to 7 days apart; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       minutes from scope out to the start of manual cleaning
-- better:    lower
-- source:    Multisociety guideline on reprocessing, 2016, asks for manual cleaning within the time of the scope maker and prints no number; pages disagree on when that clock starts, this is start (c) of three and the strictest
select
    case_id, site, month, shift, presentation,
    case
        when manual_clean_minute - scope_out_minute >= 0
            and manual_clean_minute - scope_out_minute <= 10080
        then 1
        else 0
    end as eligible,
    manual_clean_minute - scope_out_minute as minutes,
    1 as reached
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
