-- id:        overtube_to_removal
-- version:   1
-- kind:      minutes
-- title:     Overtube to object out
-- question:  Once an overtube was in place, how long did it take to bring the object out?
-- eligible:  food impaction or foreign body, overtube recorded as used, object removed or food pushed into the stomach, or outcome not recorded; overtube placed and object out recorded, 0 minutes to 8 hours apart; cases in which the object did not come out are not of the population, and a foreign body that was pushed on is not brought out, so its time is no time to removal
-- hit:       minutes from overtube placed to object out
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when removed_minute - overtube_minute >= 0
            and removed_minute - overtube_minute <= 480
        then 1
        else 0
    end as eligible,
    removed_minute - overtube_minute as minutes,
    1 as reached
from cases
where presentation in ('food_impaction', 'foreign_body')
    and overtube = 'yes'
    and (
        outcome is null
        or outcome = 'removed'
        or (outcome = 'pushed' and presentation = 'food_impaction')
    )
