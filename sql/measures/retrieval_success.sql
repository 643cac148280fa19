-- id:        retrieval_success
-- version:   1
-- kind:      share
-- title:     Object retrieved
-- question:  When an object was there, did the flexible scope get it out, or food into the stomach?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded; a transfer counts once a scope had gone in
-- hit:       object removed; or food pushed into the stomach
-- better:    higher
-- source:    definition as in published series of technical success; common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when outcome in ('removed', 'pushed', 'failed') then 1
        when outcome = 'transferred' and scope_in_minute is not null then 1
        else 0
    end as eligible,
    case
        when outcome = 'removed'
            or (outcome = 'pushed' and presentation = 'food_impaction')
        then 1
        else 0
    end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (outcome is null or outcome not in ('not_present', 'cancelled'))
