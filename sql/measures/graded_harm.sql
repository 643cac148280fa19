-- id:        graded_harm
-- version:   1
-- kind:      share
-- title:     Adverse events and incidents with a grade
-- question:  How often was an adverse event or an incident graded, by scale and grade?
-- eligible:  scale of adverse events recorded, and either a grade or the absence of adverse events; a grade that its scale does not have counts as missing; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are of the population only where somebody recorded an adverse event, such as aspiration at induction, that there was none, or a grade
-- hit:       a grade recorded, each under its own scale and never converted; a case with several events has its worst grade; an incident of the ASGE lexicon is graded though it is no adverse event there
-- better:    lower
-- source:    ASGE lexicon (Cotton, Gastrointest Endosc 2010;71:446-54) and AGREE (Nass, Gastrointest Endosc 2022;95:1078-85); the upper grades of both from memory
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    adverse_scale, adverse_grade,
    case
        when adverse_scale is null then 0
        when adverse_grade is not null or adverse_event = 'none' then 1
        else 0
    end as eligible,
    case when adverse_grade is not null then 1 else 0 end as hit
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
    or adverse_event is not null
    or adverse_grade is not null
