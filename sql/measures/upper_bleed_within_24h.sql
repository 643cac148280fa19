-- id:        upper_bleed_within_24h
-- version:   1
-- kind:      share
-- title:     Upper bleed scoped within 24 hours
-- question:  Did the scope go in within 24 hours of presentation with upper GI bleeding?
-- eligible:  adults with upper GI bleeding, suspected varices among them, of whom the age and the start of windows (arrival, unless the mapping names the call or the onset) are recorded, and the scope went in, 0 minutes to 30 days after that start; a patient on a ward has no start where windows count from arrival; patients under 18 years, and cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       at most 1440 minutes from the start of windows to scope in
-- better:    higher
-- source:    ACG 2021 and ESGE 2021, which advise against scoping within 12 hours as a routine; they speak of patients who are admitted, which is not recorded here
select
    case_id, site, month, shift, presentation, urgency, airway,
    case
        when age_group is not null
            and scope_in_minute - window_start_minute >= 0
            and scope_in_minute - window_start_minute <= 43200
        then 1
        else 0
    end as eligible,
    case when scope_in_minute - window_start_minute <= 1440 then 1 else 0 end as hit
from cases
where presentation = 'upper_bleed'
    and (age_group is null or age_group <> 'pediatric')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
