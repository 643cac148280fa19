-- id:        scope_in_to_overtube
-- version:   1
-- kind:      minutes
-- title:     Scope in to overtube
-- question:  When an overtube was used, how long after scope in was it placed?
-- eligible:  food impaction or foreign body, object present at endoscopy, overtube recorded as used, scope in and overtube placed recorded, 0 minutes to 8 hours apart
-- hit:       minutes from scope in to overtube placed
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when overtube_minute - scope_in_minute >= 0
            and overtube_minute - scope_in_minute <= 480
        then 1
        else 0
    end as eligible,
    overtube_minute - scope_in_minute as minutes,
    1 as reached
from cases
where presentation in ('food_impaction', 'foreign_body')
    and overtube = 'yes'
    and (outcome is null or outcome <> 'not_present')
