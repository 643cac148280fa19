-- id:        finished_cases
-- version:   1
-- title:     Cases by what finished them
-- question:  With which items was each case finished, and could the cart have done it alone?
-- rows:      one for each site, month, kind of case, ending, treatment and set of items: the cases
-- ending:    for an object that was removed or pushed: left_cart where a pass of rigid endoscopy brought out the object or a piece, or pushed it on; items_unknown where no pass did, or where the result of any pass, or the device of one that did, is not recorded; else finished. For a bleed that was controlled: by its treatment; an outcome that does not fit the kind of case counts as not recorded
-- items:     1 for each device of a pass that brought out the object or a piece, or pushed it on, and for each of overtube, hood and cap recorded as used; pushing and suction by the scope are no items
-- counted:   blank_aids is 1 where nobody recorded the use of overtube, hood or cap; they count as not used
with passes_of_cases as (
    select
        case_id,
        case
            when result is null then 'not_recorded'
            when result <> 'failed' then coalesce(device, 'not_recorded')
        end as finisher
    from passes
),
finishers as (
    select
        case_id,
        count(finisher) as finishing_passes,
        max(case when finisher = 'not_recorded' then 1 else 0 end) as not_recorded,
        max(case when finisher = 'rigid' then 1 else 0 end) as rigid,
        max(case when finisher = 'forceps_rat' then 1 else 0 end) as forceps_rat,
        max(case when finisher = 'forceps_alligator' then 1 else 0 end) as forceps_alligator,
        max(case when finisher = 'forceps_combo' then 1 else 0 end) as forceps_combo,
        max(case when finisher = 'forceps_biopsy' then 1 else 0 end) as forceps_biopsy,
        max(case when finisher = 'forceps_other' then 1 else 0 end) as forceps_other,
        max(case when finisher = 'prong' then 1 else 0 end) as prong,
        max(case when finisher = 'snare' then 1 else 0 end) as snare,
        max(case when finisher = 'net' then 1 else 0 end) as net,
        max(case when finisher = 'basket' then 1 else 0 end) as basket,
        max(case when finisher = 'balloon' then 1 else 0 end) as balloon,
        max(case when finisher = 'cap' then 1 else 0 end) as cap,
        max(case when finisher = 'magnet_probe' then 1 else 0 end) as magnet_probe
    from passes_of_cases
    group by case_id
),
ended as (
    select
        cases.site as site, cases.month as month,
        case
            when presentation in ('food_impaction', 'foreign_body') then 'object'
            else 'bleed'
        end as kind,
        case
            when outcome in ('cancelled', 'transferred') then 'called_off'
            when presentation in ('food_impaction', 'foreign_body')
            then case
                when outcome = 'not_present' then 'nothing_to_do'
                when outcome = 'failed' then 'not_finished'
                when outcome is null or outcome not in ('removed', 'pushed')
                then 'outcome_unknown'
                when rigid = 1 then 'left_cart'
                when not_recorded = 0 and finishing_passes > 0 then 'finished'
                else 'items_unknown'
            end
            when outcome = 'no_treatment_needed' then 'nothing_to_do'
            when outcome = 'not_controlled' then 'not_finished'
            when outcome is null or outcome <> 'controlled' then 'outcome_unknown'
            when treatment is null then 'items_unknown'
            when treatment = 'none' then 'nothing_to_do'
            when treatment = 'combined' then 'several_kinds'
            when treatment = 'other' then 'other_kind'
            else 'finished'
        end as ending,
        treatment,
        case when overtube is null or hood is null or cases.cap is null then 1 else 0 end
            as blank_aids,
        case when overtube = 'yes' then 1 else 0 end as overtube,
        case when hood = 'yes' then 1 else 0 end as hood,
        case when cases.cap = 'yes' or finishers.cap = 1 then 1 else 0 end as cap,
        coalesce(forceps_rat, 0) as forceps_rat,
        coalesce(forceps_alligator, 0) as forceps_alligator,
        coalesce(forceps_combo, 0) as forceps_combo,
        coalesce(forceps_biopsy, 0) as forceps_biopsy,
        coalesce(forceps_other, 0) as forceps_other,
        coalesce(prong, 0) as prong,
        coalesce(snare, 0) as snare,
        coalesce(net, 0) as net,
        coalesce(basket, 0) as basket,
        coalesce(balloon, 0) as balloon,
        coalesce(magnet_probe, 0) as magnet_probe
    from cases
    left join finishers on cases.case_id = finishers.case_id
)
select
    site, month, kind, ending, treatment, blank_aids, overtube, hood, cap,
    forceps_rat, forceps_alligator, forceps_combo, forceps_biopsy, forceps_other,
    prong, snare, net, basket, balloon, magnet_probe,
    count(*) as cases
from ended
group by
    site, month, kind, ending, treatment, blank_aids, overtube, hood, cap,
    forceps_rat, forceps_alligator, forceps_combo, forceps_biopsy, forceps_other,
    prong, snare, net, basket, balloon, magnet_probe
