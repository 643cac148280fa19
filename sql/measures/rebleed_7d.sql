-- id:        rebleed_7d
-- version:   1
-- kind:      share
-- title:     Rebleeding within 7 days
-- question:  How often did a bleed come back within 7 days of the first scope?
-- eligible:  upper or lower GI bleed; rebleeding recorded with its day, on whatever day, or followed for 7 days or longer, or died on day 0 to 7, which counts as no rebleeding unless it is recorded; bleeding that the first endoscopy did not control, which cannot come back, and cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       first rebleeding on day 0 to 7, in whole days from the first scope
-- better:    lower
-- source:    definition of this report: the site records what it calls rebleeding, in general new hematemesis, melena or hematochezia with instability or a fall of hemoglobin by 2 g/dL or more after it was stable (Laine, from memory), and definitions differ between studies: eight studies of lower GI bleeding had eight (PMC5624283); published anchors, each with a window and a definition of its own: further bleeding in 13 % of a UK audit of 2007, rebleeding in 7.1 % of a Korean registry of ulcers
select
    case_id, site, month, shift, presentation,
    case
        when rebleed_days is not null then 1
        when followed_days >= 7 then 1
        when death_days <= 7 then 1
        else 0
    end as eligible,
    case when rebleed_days <= 7 then 1 else 0 end as hit
from cases
where presentation in ('upper_bleed', 'lower_bleed')
    and (outcome is null or outcome <> 'not_controlled')
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
