-- id:        perforation
-- version:   1
-- kind:      share
-- title:     Perforation (as the worst event)
-- question:  How often was a perforation recorded as the worst event?
-- eligible:  adverse events recorded as present or absent, whatever times are missing; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are of the population only where somebody recorded an adverse event, such as aspiration at induction, or that there was none; split by overtube or protective aid only where an object was present, and not for a case cancelled or transferred before the scope went in
-- hit:       perforation recorded as the worst adverse event of the case; one with a worse event, such as a death, counts with that
-- better:    lower
-- source:    definition of this report; 3.3 % of 853 adults (BMC Gastroenterology 2021), 0.8 % of 248 cases of food (JGH Open, 2015-22)
select
    case_id, called_minute, site, month, shift, presentation, object_type, obstruction, urgency,
    airway, sharp,
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
    case when adverse_event = 'perforation' then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
    or adverse_event is not null
