-- id:        handover_within_60
-- version:   1
-- kind:      share
-- title:     Handed to reprocessing within 60 minutes of scope out
-- question:  Was the scope handed to reprocessing within an hour of scope out?
-- eligible:  scope out and handover to reprocessing recorded, 0 minutes to 72 hours apart; a case without one of the two times is not judged and never counts as in time; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       handover at most 60 minutes after scope out; manual cleaning starts later, so at most as many start it within that time
-- better:    higher
-- source:    definition of this report; 60 minutes is common in instructions of makers, for manual cleaning, and local instructions decide
select
    case_id, site, month, shift, presentation,
    case
        when handover_minute - scope_out_minute >= 0
            and handover_minute - scope_out_minute <= 4320
        then 1
        else 0
    end as eligible,
    case when handover_minute - scope_out_minute <= 60 then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
