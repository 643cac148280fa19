-- id:        protective_aid_used_sharp
-- version:   1
-- kind:      share
-- title:     Any protective aid used for a sharp object
-- question:  When the object was sharp, did an overtube, a protector hood or a cap protect the way out?
-- eligible:  food impaction or foreign body, object recorded as sharp or not recorded as either, object present at endoscopy; judged where it was sharp, outcome recorded, and use of overtube, protector hood and transparent cap recorded, or one of them recorded as used; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded; fish bones and pointed objects count as sharp unless recorded otherwise; any other object of which nobody recorded whether it was sharp is not judged
-- hit:       an overtube, a hood or a cap used
-- better:    higher
-- source:    World J Gastrointest Endosc 2025;17(6):106099 names sharp objects as a use of overtubes; ASGE 2011 and ESGE 2016 from memory; that a hood or a cap may serve instead is common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred')
            and (sharp = 'yes' or object_type in ('sharp', 'fish_bone'))
            and (
                overtube = 'yes'
                or hood = 'yes'
                or cap = 'yes'
                or (overtube is not null and hood is not null and cap is not null)
            )
        then 1
        else 0
    end as eligible,
    case when overtube = 'yes' or hood = 'yes' or cap = 'yes' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (sharp is null or sharp = 'yes')
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
