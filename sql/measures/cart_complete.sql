-- id:        cart_complete
-- version:   1
-- kind:      share
-- title:     Cart complete
-- question:  When the cart was called for, was everything on it?
-- eligible:  recorded whether the cart was complete; a missing item alone does not make a case judged, since where only what was missing is written down a blank is not "nothing missing"; cases cancelled or transferred before the cart came, that is with neither the cart nor a scope in recorded, are not of the population
-- hit:       cart recorded as complete, and no missing item recorded beside it
-- better:    higher
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case when cart_complete is not null then 1 else 0 end as eligible,
    case
        when cart_complete = 'yes' and coalesce(missing_item, 'none') = 'none' then 1
        else 0
    end as hit
from cases
where cart_minute is not null
    or scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
