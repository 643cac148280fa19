-- id:        device_success
-- version:   1
-- kind:      clustered_share
-- title:     Passes that ended the case
-- question:  How often did one pass with a device end the case?
-- eligible:  pass with device and result recorded, food impaction or foreign body; not where the object was already gone or the case cancelled
-- hit:       object removed in this pass; or food pushed into the stomach. A piece alone does not end the case
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
        when passes.result = 'removed'
            or (
                passes.result = 'pushed'
                and cases.presentation = 'food_impaction'
            )
        then 1
        else 0
    end as hit
from passes
join cases on passes.case_id = cases.case_id
where cases.presentation in ('food_impaction', 'foreign_body')
    and (cases.outcome is null or cases.outcome not in ('not_present', 'cancelled'))
