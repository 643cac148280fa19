-- id:        airway_secured
-- version:   2
-- kind:      share
-- title:     Airway secured by intubation
-- question:  How often was the airway secured by intubation during the case?
-- eligible:  food impaction, foreign body or upper GI bleeding, scope in and airway recorded; lower GI bleeding, where the question hardly arises, is not of the population, and neither are cases cancelled or transferred before the scope went in, that is with no scope in recorded
-- hit:       intubated
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case when scope_in_minute is not null and airway is not null then 1 else 0 end as eligible,
    case when airway = 'intubated' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body', 'upper_bleed')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
