-- id:        scope_out_to_handover
-- version:   1
-- kind:      minutes
-- title:     Scope out to handover
-- question:  How long after the last scope came out was it handed to reprocessing?
-- eligible:  scope out and handover to reprocessing recorded, 0 minutes to 72 hours apart; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       minutes from scope out to handover; manual cleaning starts later, so the time until then is at least as long
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case
        when handover_minute - scope_out_minute >= 0
            and handover_minute - scope_out_minute <= 4320
        then 1
        else 0
    end as eligible,
    handover_minute - scope_out_minute as minutes,
    1 as reached
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
