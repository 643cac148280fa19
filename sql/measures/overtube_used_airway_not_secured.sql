-- id:        overtube_used_airway_not_secured
-- version:   1
-- kind:      share
-- title:     Overtube used where the airway was not secured
-- question:  When the patient was not intubated, did an overtube stand between object and airway?
-- eligible:  food impaction or foreign body, object present at endoscopy, airway recorded as sedated without a tube or awake, outcome and overtube use recorded; a case without a recorded airway is not judged, an intubated one is not of the population; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       overtube used
-- better:    neither
-- source:    World J Gastrointest Endosc 2025;17(6):106099 names airway protection and aspiration as uses; for the rate itself: common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when airway is null or overtube is null then 0
        when outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred') then 1
        else 0
    end as eligible,
    case when overtube = 'yes' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (airway is null or airway <> 'intubated')
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
