-- id:        upper_bleeds
-- version:   2
-- kind:      count
-- title:     Calls for upper GI bleeding
-- question:  Which upper GI bleeds was the service called for?
-- eligible:  every accepted case of upper GI bleeding
-- hit:       a call
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, glasgow_blatchford, rockall, aims65, bleed_finding, treatment,
    1 as eligible
from cases
where presentation = 'upper_bleed'
