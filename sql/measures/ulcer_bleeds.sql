-- id:        ulcer_bleeds
-- version:   1
-- kind:      count
-- title:     Calls for a bleeding ulcer
-- question:  Which class did bleeding ulcers have?
-- eligible:  every accepted case of upper GI bleeding in which endoscopy found an ulcer
-- hit:       a call
-- better:    neither
-- source:    classes of Forrest JAH et al., Lancet 1974
select
    case_id, site, month, shift, forrest,
    1 as eligible
from cases
where presentation = 'upper_bleed'
    and bleed_finding = 'ulcer'
