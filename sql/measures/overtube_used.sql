-- id:        overtube_used
-- version:   1
-- kind:      share
-- title:     Overtube used
-- question:  How often was an overtube placed?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome and overtube use recorded; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       overtube used
-- better:    neither
-- source:    World J Gastrointest Endosc 2025;17(6):106099 names airway protection, aspiration and sharp objects as uses; for the rate itself: common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when overtube is null then 0
        when outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred') then 1
        else 0
    end as eligible,
    case when overtube = 'yes' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
