-- id:        airway_secured
-- version:   1
-- kind:      share
-- title:     Airway secured by intubation
-- question:  How often was the airway secured by a tube before the scope went in?
-- eligible:  scope in recorded, airway recorded
-- hit:       intubated
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case when airway is not null then 1 else 0 end as eligible,
    case when airway = 'intubated' then 1 else 0 end as hit
from cases
where scope_in_minute is not null
