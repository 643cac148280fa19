-- id:        one_piece_removal
-- version:   1
-- kind:      share
-- title:     Out in one piece
-- question:  When something was pulled out, did it come whole?
-- eligible:  food impaction or foreign body, object present at endoscopy, removed with one piece or several recorded, or not brought out; food pushed into the stomach was not pulled and is not of the population, nor is an object that was pushed; a case cancelled or transferred counts as given up once a scope had gone in, and is not of the population where no scope in is recorded
-- hit:       object removed in one piece, however many passes it took
-- better:    higher
-- source:    en bloc against piecemeal as in the trial of a cap, American Journal of Gastroenterology 2021 (159 of 171 with a cap, 48 of 171 without, of all cases treated), which also asks for one pass; that stands under removed_in_one_pass
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when outcome in ('failed', 'cancelled', 'transferred') then 1
        when outcome = 'removed' and one_piece is not null then 1
        else 0
    end as eligible,
    case when outcome = 'removed' and one_piece = 'yes' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (outcome is null or outcome not in ('not_present', 'pushed'))
    and (
        scope_in_minute is not null
        or outcome is null
        or outcome not in ('cancelled', 'transferred')
    )
