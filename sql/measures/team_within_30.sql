-- id:        team_within_30
-- version:   1
-- kind:      share
-- title:     Team complete within 30 minutes of the call
-- question:  Was the whole team there within half an hour of the call?
-- eligible:  call and team complete recorded, 0 minutes to 12 hours apart; cases cancelled or transferred before the team came, that is with neither the team nor a scope in recorded, are not of the population
-- hit:       team complete at most 30 minutes after the call
-- better:    higher
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation,
    case
        when team_minute - called_minute >= 0
            and team_minute - called_minute <= 720
        then 1
        else 0
    end as eligible,
    case when team_minute - called_minute <= 30 then 1 else 0 end as hit
from cases
where team_minute is not null
    or scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
