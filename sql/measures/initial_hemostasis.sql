-- id:        initial_hemostasis
-- version:   1
-- kind:      share
-- title:     Bleeding stopped at the first endoscopy
-- question:  When a bleed was treated, had it stopped at the end of the first endoscopy?
-- eligible:  upper or lower GI bleed, outcome recorded as controlled or not controlled; bleeds with treatment recorded as none, or outcome as no treatment needed, and cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       bleeding controlled: no active bleeding at the end of the first endoscopic treatment
-- better:    higher
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case when outcome in ('controlled', 'not_controlled') then 1 else 0 end as eligible,
    case when outcome = 'controlled' then 1 else 0 end as hit
from cases
where presentation in ('upper_bleed', 'lower_bleed')
    and (treatment is null or treatment <> 'none')
    and (outcome is null or outcome <> 'no_treatment_needed')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
