-- id:        device_malfunction
-- version:   1
-- kind:      clustered_share
-- title:     Device failed in a pass
-- question:  Of the uses of a device, in how many did it fail?
-- eligible:  pass with device recorded, and recorded whether the device failed; a pass without one of the two is not judged, and a case without a judged pass is excluded; of the population are all cases with a pass, and without one food impaction and foreign body with the outcome removed, pushed into the stomach or not retrieved, or with none recorded
-- hit:       the device failed in this pass, whatever came of the pass
-- better:    lower
-- source:    common practice, no source
select
    cases.case_id as case_id, cases.site as site, cases.month as month,
    cases.shift as shift, cases.presentation as presentation,
    passes.device as device,
    case
        when passes.device is not null and passes.malfunction is not null then 1
        else 0
    end as eligible,
    case when passes.malfunction = 'yes' then 1 else 0 end as hit
from cases
left join passes on cases.case_id = passes.case_id
where passes.case_id is not null
    or (
        cases.presentation in ('food_impaction', 'foreign_body')
        and (cases.outcome is null or cases.outcome in ('removed', 'pushed', 'failed'))
    )
