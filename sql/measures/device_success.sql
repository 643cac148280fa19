-- id:        device_success
-- version:   1
-- kind:      clustered_share
-- title:     Passes that brought the object out
-- question:  How often did one pass with a device bring an object out, or food into the stomach?
-- eligible:  pass with device and result recorded, food impaction or foreign body, object present at endoscopy; a pass without its device or its result is not judged, and a case without a judged pass is excluded; a case cancelled or transferred counts once a scope had gone in, and is not of the population where neither a scope in nor a pass is recorded
-- hit:       object removed in this pass, or food pushed into the stomach; a piece alone is no hit, and two objects in one case may give two hits
-- better:    higher
-- source:    common practice, no source
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    cases.object_type as object_type, cases.obstruction as obstruction,
    cases.urgency as urgency, cases.airway as airway,
    passes.device as device,
    case
        when passes.device is not null and passes.result is not null then 1
        else 0
    end as eligible,
    case
        when passes.result = 'removed' then 1
        when passes.result = 'pushed' and cases.presentation = 'food_impaction' then 1
        else 0
    end as hit
from cases
left join passes on cases.case_id = passes.case_id
where cases.presentation in ('food_impaction', 'foreign_body')
    and (cases.outcome is null or cases.outcome <> 'not_present')
    and (
        cases.scope_in_minute is not null
        or passes.case_id is not null
        or cases.outcome is null
        or cases.outcome not in ('cancelled', 'transferred')
    )
