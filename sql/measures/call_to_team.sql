-- id:        call_to_team
-- version:   1
-- kind:      minutes
-- title:     Call to team complete
-- question:  How long after the call was the whole team there?
-- eligible:  call and last essential member of the team at the place recorded, 0 minutes to 12 hours apart; or, with neither this moment nor a scope in recorded, the case was cancelled or transferred 0 minutes to 12 hours after the call, and is followed until then
-- hit:       minutes from call to last essential member of the team at the place
-- better:    lower
-- source:    common practice, no source
select
    case_id, site, month, shift, presentation, object_type, obstruction, urgency, airway,
    case
        when team_minute - called_minute >= 0
            and team_minute - called_minute <= 720
        then 1
        when team_minute is null
            and scope_in_minute is null
            and outcome in ('cancelled', 'transferred')
            and ended_minute - called_minute >= 0
            and ended_minute - called_minute <= 720
        then 1
        else 0
    end as eligible,
    coalesce(team_minute, ended_minute) - called_minute as minutes,
    case when team_minute is not null then 1 else 0 end as reached
from cases
