-- id:        lower_bleeds
-- version:   2
-- kind:      count
-- title:     Calls for lower GI bleeding
-- question:  Which lower GI bleeds was the service called for?
-- eligible:  every accepted case of lower GI bleeding
-- hit:       a call
-- better:    neither
-- source:    common practice, no source
select
    case_id, site, month, shift, oakland, bleed_finding, treatment,
    1 as eligible
from cases
where presentation = 'lower_bleed'
