-- id:        biopsy_at_food_impaction
-- version:   1
-- kind:      share
-- title:     Biopsies at food impaction
-- question:  When food was stuck, were biopsies of the esophagus taken while the scope was there?
-- eligible:  food impaction, biopsies recorded as taken or not, food still there or not; not of the population are cases with a biopsy recorded as not indicated (known eosinophilic esophagitis or a contraindication), and cases cancelled or transferred before the scope went in, that is with no scope in recorded; where nobody records what is not indicated, every such case counts
-- hit:       biopsies taken
-- better:    higher
-- source:    BSG and BSPGHAN 2022 (Gut 2022;71:1459-87, read in a secondary source): biopsies in all adults scoped for a food bolus, even where the esophagus looks normal; uptake in one series 139 of 497 within two years (2018)
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case when biopsies_taken is not null then 1 else 0 end as eligible,
    case when biopsies_taken = 'yes' then 1 else 0 end as hit
from cases
where presentation = 'food_impaction'
    and (biopsy_not_indicated is null or biopsy_not_indicated <> 'yes')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
