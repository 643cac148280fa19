-- id:        three_or_more_devices
-- version:   1
-- kind:      share
-- title:     Three different devices or more
-- question:  How often was a third device used?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded, all passes known: at least one recorded, each with its device, and where passes have numbers these run from 1 to the number of passes without gap or repeat; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       three different devices or more, whether the object came out or not; a device that is taken again counts once; push technique, scope suction and rigid endoscopy each count as a device
-- better:    neither
-- source:    common practice, no source; a change of device may have been the right decision
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    case
        when counted.passes_with_device = counted.pass_count
            and (
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
    case when counted.different_devices >= 3 then 1 else 0 end as hit
from cases
left join (
    select
        case_id,
        count(*) as pass_count,
        count(device) as passes_with_device,
        count(distinct device) as different_devices,
        count(pass_number) as numbered_passes,
        count(distinct pass_number) as different_numbers,
        max(pass_number) as highest_number
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
