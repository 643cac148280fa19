-- id:        stock_outs
-- version:   1
-- kind:      count
-- title:     Something missing from the cart
-- question:  How often was something missing from the cart?
-- eligible:  a missing item recorded, or the cart recorded as incomplete; a case in which neither was recorded is no event, so see beside it how many cases the cart was judged in
-- hit:       a case in which something was missing, whatever it was and however much
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case when missing_item <> 'none' then missing_item end as missing_item,
    1 as eligible
from cases
where cart_complete = 'no'
    or missing_item <> 'none'
