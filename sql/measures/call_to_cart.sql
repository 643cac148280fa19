-- id:        call_to_cart
-- version:   1
-- kind:      minutes
-- title:     Call to cart at the bedside
-- question:  How long after the call did the cart stand at the bedside?
-- eligible:  call and cart at the bedside recorded, the cart from 1 hour before the call to 12 hours after; or, with neither this moment nor a scope in recorded, the case was cancelled or transferred 0 minutes to 12 hours after the call, and is followed until then
-- hit:       minutes from call to cart at the bedside
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when cart_minute - called_minute >= -60
            and cart_minute - called_minute <= 720
        then 1
        when cart_minute is null
            and scope_in_minute is null
            and outcome in ('cancelled', 'transferred')
            and ended_minute - called_minute >= 0
            and ended_minute - called_minute <= 720
        then 1
        else 0
    end as eligible,
    coalesce(cart_minute, ended_minute) - called_minute as minutes,
    case when cart_minute is not null then 1 else 0 end as reached
from cases
