-- id:        one_piece_removal
-- version:   1
-- kind:      share
-- title:     Out in one piece
-- question:  When something was pulled out, did it come whole?
-- eligible:  food impaction or foreign body, object removed, and recorded whether in one piece or several; with any other outcome nothing came out in one piece or in several, so such a case is not of the population: one that was not brought out, food pushed into the stomach, and a foreign body that was pushed on, which is not brought out either; where the outcome is not recorded the case is not judged
-- hit:       object removed in one piece, however many passes it took
-- better:    higher
-- source:    en bloc against piecemeal as in the trial of a cap, American Journal of Gastroenterology 2021 (159 of 171 with a cap, 48 of 171 without, there of all cases treated and not of those removed), which also asks for one pass; that stands under removed_in_one_pass
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case when outcome = 'removed' and one_piece is not null then 1 else 0 end as eligible,
    case when one_piece = 'yes' then 1 else 0 end as hit
from cases
where presentation in ('food_impaction', 'foreign_body')
    and (outcome is null or outcome = 'removed')
