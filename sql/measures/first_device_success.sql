-- id:        first_device_success
-- version:   1
-- kind:      share
-- title:     Success with the first device
-- question:  Did the first device do it, with no other grasping or pushing device used?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded, at least one pass recorded, each with its device and its number, the numbers from 1 to the number of passes without gap or repeat; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       object removed, or food pushed into the stomach, and one device only, which was not rigid endoscopy
-- better:    higher
-- source:    common practice, no source
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.object_location as object_location,
    cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    devices.first_device as device,
    case
        when devices.highest_number = devices.pass_count
            and devices.different_numbers = devices.pass_count
            and devices.passes_with_device = devices.pass_count
            and outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred')
        then 1
        else 0
    end as eligible,
    case
        when devices.lowest_device = devices.highest_device
            and devices.first_device <> 'rigid'
            and (
                outcome = 'removed'
                or (outcome = 'pushed' and presentation = 'food_impaction')
            )
        then 1
        else 0
    end as hit
from cases
left join (
    select
        case_id,
        max(case when pass_number = 1 then device end) as first_device,
        min(device) as lowest_device,
        max(device) as highest_device,
        count(*) as pass_count,
        count(device) as passes_with_device,
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
