-- id:        overtube_used_repeat_passes
-- version:   1
-- kind:      share
-- title:     Overtube used where three passes or more were needed
-- question:  When it took three passes or more, was an overtube placed?
-- eligible:  food impaction or foreign body, object present at endoscopy, three passes or more recorded, by their count or by the highest number, outcome and overtube use recorded; a case without any recorded pass is not judged; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       overtube used
-- better:    neither
-- source:    repeated insertion as a use of overtubes: a review in Clinical Endoscopy 2019; for the rate itself: common practice, no source
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    case
        when counted.pass_count is null or overtube is null then 0
        when outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred') then 1
        else 0
    end as eligible,
    case when overtube = 'yes' then 1 else 0 end as hit
from cases
left join (
    select case_id, count(*) as pass_count, max(pass_number) as highest_number
    from passes
    group by case_id
) as counted on cases.case_id = counted.case_id
where presentation in ('food_impaction', 'foreign_body')
    and (
        counted.pass_count is null
        or counted.pass_count >= 3
        or counted.highest_number >= 3
    )
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
