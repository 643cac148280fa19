-- id:        case_malfunction
-- version:   1
-- kind:      share
-- title:     Equipment failed
-- question:  In how many cases did any equipment fail?
-- eligible:  recorded whether equipment failed; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       equipment failed
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case when malfunction is not null then 1 else 0 end as eligible,
    case when malfunction = 'yes' then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
