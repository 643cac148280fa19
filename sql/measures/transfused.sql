-- id:        transfused
-- version:   1
-- kind:      share
-- title:     Red cells transfused
-- question:  How often were red cells transfused?
-- eligible:  upper or lower GI bleed, number of units recorded; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       one unit or more, from presentation to discharge or day 7
-- better:    neither
-- source:    a restrictive threshold, 7 g/dL of hemoglobin, is that of the ACG guideline of 2021; for the rate itself: common practice, no source
select
    case_id, site, month, shift, presentation,
    case when transfused_units is not null then 1 else 0 end as eligible,
    case when transfused_units > 0 then 1 else 0 end as hit
from cases
where presentation in ('upper_bleed', 'lower_bleed')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
