-- id:        preclean_done
-- version:   1
-- kind:      share
-- title:     Bedside pre-clean done
-- question:  Was the scope pre-cleaned at the bedside?
-- eligible:  recorded whether the pre-clean was done; a time of the pre-clean alone does not count as recorded, since only the done would have one; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       pre-clean done
-- better:    higher
-- source:    Multisociety guideline on reprocessing, 2016, asks for the pre-clean at the point of use
select
    case_id, site, month, shift, presentation,
    case when preclean_done is not null then 1 else 0 end as eligible,
    case when preclean_done = 'yes' then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
