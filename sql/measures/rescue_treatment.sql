-- id:        rescue_treatment
-- version:   1
-- kind:      share
-- title:     Rescue treatment
-- question:  How often did a bleed need embolization, surgery or another rescue after endoscopy?
-- eligible:  upper or lower GI bleed, rescue treatment recorded as given or not; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       embolization, surgery, both, a transjugular shunt or another rescue treatment
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case when rescue is not null then 1 else 0 end as eligible,
    case when rescue <> 'none' then 1 else 0 end as hit
from cases
where presentation in ('upper_bleed', 'lower_bleed')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
