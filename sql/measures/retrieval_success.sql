-- id:        retrieval_success
-- version:   1
-- kind:      share
-- title:     Object retrieved
-- question:  When an object was there, did the flexible scope get it out, or food into the stomach?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded; an object removed in a case with rigid endoscopy is judged only where a pass is recorded as the one that removed it
-- hit:       object removed, unless each pass that removed it was one of rigid endoscopy; or food pushed into the stomach; a foreign body that was pushed on is not brought out and is no hit; without recorded passes the outcome of the case decides
-- better:    higher
-- source:    definition as in series of adults such as BMC Gastroenterology 2021 (853 cases, 98.9 %) and Surgical Endoscopy 2015 (702 removals, 94.7 %)
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    case
        when numbered_passes > 0
            and (different_numbers <> pass_count or highest_number <> pass_count)
        then null
        when pass_count = 1 then '1'
        when pass_count = 2 then '2'
        when pass_count = 3 then '3'
        when pass_count > 3 then '4_up'
    end as passes_in_case,
    case
        when outcome = 'removed'
            and used_rigid = 1
            and removed_by_rigid = 0
            and removed_by_other = 0
        then 0
        when outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred') then 1
        else 0
    end as eligible,
    case
        when outcome = 'removed' and removed_by_rigid = 1 and removed_by_other = 0 then 0
        when outcome = 'removed' then 1
        when outcome = 'pushed' and presentation = 'food_impaction' then 1
        else 0
    end as hit
from cases
left join (
    select
        case_id,
        max(case when device = 'rigid' then 1 else 0 end) as used_rigid,
        max(case when device = 'rigid' and result = 'removed' then 1 else 0 end)
            as removed_by_rigid,
        max(case when device = 'rigid' then 0 when result = 'removed' then 1 else 0 end)
            as removed_by_other,
        count(*) as pass_count,
        count(pass_number) as numbered_passes,
        count(distinct pass_number) as different_numbers,
        max(pass_number) as highest_number
    from passes
    group by case_id
) as devices on cases.case_id = devices.case_id
where presentation in ('food_impaction', 'foreign_body')
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
