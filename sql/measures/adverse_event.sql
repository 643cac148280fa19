-- id:        adverse_event
-- version:   2
-- kind:      share
-- title:     Any adverse event
-- question:  How often was harm recorded?
-- eligible:  adverse events recorded as present or absent, whatever times are missing; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are of the population only where somebody recorded an adverse event, such as aspiration at induction, or that there was none; split by overtube or protective aid only where an object was present, and not for a case cancelled or transferred before the scope went in
-- hit:       any adverse event of the list, from a mucosal tear to death; a case with several events counts once, with its worst
-- better:    lower
-- source:    definition of this report; published rates follow the definition, from 2.2 % (pull technique, pooled, Digestive Diseases and Sciences 2023) to 31.2 % (every mucosal injury counted, BMC Gastroenterology 2021)
select
    case_id, called_minute, site, month, shift, presentation, object_type, obstruction, urgency,
    airway, sharp,
    adverse_event,
    case
        when presentation in ('food_impaction', 'foreign_body')
            and (outcome is null or outcome <> 'not_present')
            and (
                scope_in_minute is not null
                or outcome is null
                or outcome not in ('cancelled', 'transferred')
            )
        then overtube
    end as overtube,
    case
        when presentation not in ('food_impaction', 'foreign_body') then null
        when outcome = 'not_present' then null
        when scope_in_minute is null and outcome in ('cancelled', 'transferred') then null
        when overtube = 'yes' or hood = 'yes' or cap = 'yes' then 'yes'
        when overtube = 'no' and hood = 'no' and cap = 'no' then 'no'
    end as protective_aid,
    case when adverse_event is not null then 1 else 0 end as eligible,
    case when adverse_event <> 'none' then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
    or adverse_event is not null
