-- id:        calls
-- version:   1
-- kind:      count
-- title:     Calls
-- question:  How often was the service called?
-- eligible:  every accepted case
-- hit:       a call
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, weekday, hour, shift, presentation, object_type, age_group, sex, setting,
    urgency,
    1 as eligible
from cases
