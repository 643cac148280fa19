-- id:        already_gone
-- version:   1
-- kind:      share
-- title:     Object already gone
-- question:  How often was the object or the food gone when the scope got there?
-- eligible:  food impaction or foreign body, outcome recorded; a case cancelled or transferred counts as one with an object once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       recorded as already gone; such a case is no failure of retrieval and stays in the times
-- better:    neither
-- source:    published series 13 % to 15 %: 15.2 % (48 of 315, Gastrointestinal Endoscopy 2018), 14 % (288 cases, abstract, Gut 2012), 13 % of food (UEG Journal 2018); 31 % in a series of children (2023)
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when outcome in (
            'removed', 'pushed', 'not_present', 'failed', 'cancelled', 'transferred'
        )
        then 1
        else 0
    end as eligible,
    case when outcome = 'not_present' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
