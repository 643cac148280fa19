-- id:        variceal_within_12h
-- version:   1
-- kind:      share
-- title:     Suspected variceal bleed scoped within 12 hours
-- question:  When varices were suspected, did the scope go in within 12 hours of presentation?
-- eligible:  adults with upper GI bleeding in whom variceal bleeding was suspected, of whom the age and the start of windows (arrival, unless the mapping names the call or the onset) are recorded, and the scope went in, 0 minutes to 30 days after that start; a patient on a ward has no start where windows count from arrival; patients under 18 years, and cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population; so are cases in which varices were recorded as not suspected; where nobody recorded whether they were, the case is not judged
-- hit:       at most 720 minutes from the start of windows to scope in
-- better:    higher
-- source:    Baveno VII 2022 and ESGE 2022, both from memory: their text was not seen, and the 12 hours hold once the patient is stable
select
    case_id, site, month, shift, presentation, urgency, airway,
    case
        when age_group is not null
            and variceal_suspected is not null
            and scope_in_minute - window_start_minute >= 0
            and scope_in_minute - window_start_minute <= 43200
        then 1
        else 0
    end as eligible,
    case when scope_in_minute - window_start_minute <= 720 then 1 else 0 end as hit
from cases
where presentation = 'upper_bleed'
    and (variceal_suspected is null or variceal_suspected = 'yes')
    and (age_group is null or age_group <> 'pediatric')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
