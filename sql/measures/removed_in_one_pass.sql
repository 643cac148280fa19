-- id:        removed_in_one_pass
-- version:   1
-- kind:      share
-- title:     Out in one pass
-- question:  Did the first pass do it?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded, all passes known: at least one recorded, and where passes have numbers these run from 1 to the number of passes without gap or repeat; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       object removed, or food pushed into the stomach, in the only pass of the case, which was not one of rigid endoscopy
-- better:    higher
-- source:    common practice, no source; a pass is one device going down once, the first counts as 1
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    case
        when (
            counted.numbered_passes = 0
            or (
                counted.different_numbers = counted.pass_count
                and counted.highest_number = counted.pass_count
            )
        )
            and outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred')
        then 1
        else 0
    end as eligible,
    case
        when counted.pass_count > 1 or counted.lowest_device = 'rigid' then 0
        when outcome = 'removed' then 1
        when outcome = 'pushed' and presentation = 'food_impaction' then 1
        else 0
    end as hit
from cases
left join (
    select
        case_id,
        count(*) as pass_count,
        count(pass_number) as numbered_passes,
        count(distinct pass_number) as different_numbers,
        max(pass_number) as highest_number,
        min(device) as lowest_device
    from passes
    group by case_id
) as counted on cases.case_id = counted.case_id
where presentation in ('food_impaction', 'foreign_body')
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
