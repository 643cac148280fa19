-- id:        protective_aid_used
-- version:   1
-- kind:      share
-- title:     Any protective aid used
-- question:  How often did an overtube, a protector hood or a cap protect the way out?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded, and use of overtube, protector hood and transparent cap recorded, or one of them recorded as used; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       an overtube, a hood or a cap used; three different protections, counted as one here only
-- better:    neither
-- source:    common practice, no source: a hood or a cap may serve where others place an overtube
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred')
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
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
