-- id:        push_success
-- version:   1
-- kind:      share
-- title:     Food pushed on at the first try
-- question:  When food was pushed first, did that first try bring it into the stomach?
-- eligible:  food impaction, object present at endoscopy, the first pass one of the push technique with its result recorded; a case without any recorded pass is not judged; where the device of the first pass is not recorded, and a push is or a pass without its device, nobody can tell whether a push came first, and the case is not judged; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       the first pass brought the food into the stomach, or out
-- better:    higher
-- source:    first try as in children with food, JPGN 2017 (65 % with push first, 68 % with pull first, 39 cases); success of the technique over all tries is higher (97.5 %, pooled, Digestive Diseases and Sciences 2023); ESGE 2016 prefers a push first, in part from memory
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.object_location as object_location,
    cases.obstruction as obstruction, cases.urgency as urgency, cases.airway as airway,
    case
        when pushes.first_device = 'push' and pushes.first_result is not null then 1
        else 0
    end as eligible,
    case when pushes.first_result in ('pushed', 'removed') then 1 else 0 end as hit
from cases
left join (
    select
        case_id,
        max(case when pass_number = 1 then device end) as first_device,
        max(case when pass_number = 1 then result end) as first_result,
        max(case when device is null or device = 'push' then 1 else 0 end) as may_hold_push
    from passes
    group by case_id
) as pushes on cases.case_id = pushes.case_id
where presentation = 'food_impaction'
    and (
        pushes.case_id is null
        or pushes.first_device = 'push'
        or (pushes.first_device is null and pushes.may_hold_push = 1)
    )
    and (outcome is null or outcome <> 'not_present')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
