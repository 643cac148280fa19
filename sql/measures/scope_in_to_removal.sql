-- id:        scope_in_to_removal
-- version:   1
-- kind:      minutes
-- title:     Scope in to object out
-- question:  When the object came out, or food was pushed into the stomach, how long after scope in was that?
-- eligible:  scope in and object out recorded, 0 minutes to 8 hours apart; only food impaction and foreign body with the outcome removed, food also with that of being pushed into the stomach, or with no outcome recorded, are of the population: where the object stayed, nobody knows how long it would have taken, and a foreign body that was pushed on is not brought out, so its time is no time to removal
-- hit:       minutes from scope in to object out, the last one if there were several
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case
        when removed_minute - scope_in_minute >= 0
            and removed_minute - scope_in_minute <= 480
        then 1
        else 0
    end as eligible,
    removed_minute - scope_in_minute as minutes,
    1 as reached
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (
        outcome is null
        or outcome = 'removed'
        or (outcome = 'pushed' and presentation = 'food_impaction')
    )
