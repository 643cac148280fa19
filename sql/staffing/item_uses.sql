-- id:        item_uses
-- version:   1
-- title:     Uses of the items of a cart
-- question:  How often was each item used, at which site and in which month?
-- rows:      one for each site, month and item with a use: the cases in which the item was used, and the passes made with it
-- item:      by kind: the device of a pass, not_recorded where nobody wrote it down; the aids overtube, hood and cap where recorded as used, the cap as the device that it is too; the treatment of a case, of which none is no use
-- counted:   a case counts once for each item however many passes were made with it; an item that was used without a pass, such as an overtube, counts as one pass
with used as (
    select case_id, 'device' as kind, coalesce(device, 'not_recorded') as item, 1 as passes
    from passes
    union all
    select case_id, 'device' as kind, 'cap' as item, 0 as passes from cases where cap = 'yes'
    union all
    select case_id, 'aid' as kind, 'overtube' as item, 0 as passes
    from cases
    where overtube = 'yes'
    union all
    select case_id, 'aid' as kind, 'hood' as item, 0 as passes from cases where hood = 'yes'
    union all
    select case_id, 'treatment' as kind, treatment as item, 0 as passes
    from cases
    where treatment <> 'none'
),
used_in_case as (
    select case_id, kind, item, sum(passes) as passes from used group by case_id, kind, item
)
select
    cases.site as site, cases.month as month,
    used_in_case.kind as kind, used_in_case.item as item,
    count(*) as cases,
    sum(case when used_in_case.passes = 0 then 1 else used_in_case.passes end) as passes
from used_in_case
join cases on used_in_case.case_id = cases.case_id
group by cases.site, cases.month, used_in_case.kind, used_in_case.item
