-- id:        device_switch
-- version:   1
-- kind:      share
-- title:     Next device after a first that failed
-- question:  When another device followed the first, did it bring the object out?
-- eligible:  food impaction or foreign body, object present at endoscopy, outcome recorded, the first device followed by another before any pass of the first is recorded as the one that brought the object out; each pass with its device and its number, the numbers from 1 to the number of passes without gap or repeat, else the case is not judged; cases with one device only are not of the population; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       object removed, or food pushed into the stomach, with the next device and without a third or a return to the first; rigid endoscopy counts as a device
-- better:    neither
-- source:    common practice, no source; the next device inherits the cases in which the first one failed, so its share says nothing about the device alone
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    turns.first_device as device, following.device as next_device,
    case
        when turns.highest_number = turns.pass_count
            and turns.different_numbers = turns.pass_count
            and turns.passes_with_device = turns.pass_count
            and outcome in ('removed', 'pushed', 'failed', 'cancelled', 'transferred')
        then 1
        else 0
    end as eligible,
    case
        when turns.different_devices > 2 then 0
        when turns.last_of_first > turns.next_number then 0
        when outcome = 'removed' then 1
        when outcome = 'pushed' and presentation = 'food_impaction' then 1
        else 0
    end as hit
from cases
join (
    select
        passes.case_id as case_id,
        max(firsts.first_device) as first_device,
        min(case when device <> firsts.first_device then pass_number end) as next_number,
        max(case when device = firsts.first_device then pass_number end) as last_of_first,
        min(
            case
                when device = firsts.first_device and result = 'removed' then pass_number
            end
        ) as first_removal,
        min(
            case
                when device = firsts.first_device and result = 'pushed' then pass_number
            end
        ) as first_push,
        count(*) as pass_count,
        count(device) as passes_with_device,
        count(distinct device) as different_devices,
        count(distinct pass_number) as different_numbers,
        max(pass_number) as highest_number
    from passes
    left join (
        select case_id, max(case when pass_number = 1 then device end) as first_device
        from passes
        group by case_id
    ) as firsts on passes.case_id = firsts.case_id
    group by passes.case_id
) as turns on cases.case_id = turns.case_id
left join (
    select case_id, pass_number, max(device) as device
    from passes
    group by case_id, pass_number
) as following
    on turns.case_id = following.case_id and turns.next_number = following.pass_number
where presentation in ('food_impaction', 'foreign_body')
    and (
        turns.different_devices > 1
        or (turns.pass_count > 1 and turns.passes_with_device < turns.pass_count)
    )
    and (
        turns.first_removal is null
        or turns.next_number is null
        or turns.first_removal > turns.next_number
    )
    and (
        presentation <> 'food_impaction'
        or turns.first_push is null
        or turns.next_number is null
        or turns.first_push > turns.next_number
    )
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
