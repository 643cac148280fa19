-- id:        death_30d
-- version:   1
-- kind:      share
-- title:     Death within 30 days
-- question:  How often did a patient with a bleed die within 30 days of the first scope, of whatever cause?
-- eligible:  upper or lower GI bleed; death recorded with its day, on whatever day, or followed for 30 days or longer; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       death on day 0 to 30, in whole days from the first scope
-- better:    lower
-- source:    common practice, no source; published anchors: in-hospital death in 7.4 % (6.7 to 8.1) of those scoped in a UK audit of 2007, death within 30 days in 1.0 % of a Korean registry of ulcers
select
    case_id, site, month, shift, presentation,
    case
        when death_days is not null then 1
        when followed_days >= 30 then 1
        else 0
    end as eligible,
    case when death_days <= 30 then 1 else 0 end as hit
from cases
where presentation in ('upper_bleed', 'lower_bleed')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
