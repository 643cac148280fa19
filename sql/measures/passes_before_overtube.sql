-- id:        passes_before_overtube
-- version:   1
-- kind:      share
-- title:     Overtube in place before the first pass
-- question:  When an overtube was used, was it in place before the first device went down?
-- eligible:  food impaction or foreign body, object present at endoscopy, overtube recorded as used, and the number of the pass before which it was placed; split by the passes before it, and by those after it where all passes of the case are known
-- hit:       placed before the first pass
-- better:    neither
-- source:    common practice, no source
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    case
        when overtube_pass = 1 then '0'
        when overtube_pass = 2 then '1'
        when overtube_pass = 3 then '2'
        when overtube_pass > 3 then '3_up'
    end as passes_before_overtube,
    case
        when counted.numbered_passes > 0
            and (
                counted.different_numbers <> counted.pass_count
                or counted.highest_number <> counted.pass_count
            )
        then null
        when counted.pass_count + 1 - overtube_pass = 0 then '0'
        when counted.pass_count + 1 - overtube_pass = 1 then '1'
        when counted.pass_count + 1 - overtube_pass = 2 then '2'
        when counted.pass_count + 1 - overtube_pass > 2 then '3_up'
    end as passes_after_overtube,
    case when overtube_pass is not null then 1 else 0 end as eligible,
    case when overtube_pass = 1 then 1 else 0 end as hit
from cases
left join (
    select
        case_id,
        count(*) as pass_count,
        count(pass_number) as numbered_passes,
        count(distinct pass_number) as different_numbers,
        max(pass_number) as highest_number
    from passes
    group by case_id
) as counted on cases.case_id = counted.case_id
where presentation in ('food_impaction', 'foreign_body')
    and overtube = 'yes'
    and (outcome is null or outcome <> 'not_present')
