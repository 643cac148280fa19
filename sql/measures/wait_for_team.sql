-- id:        wait_for_team
-- version:   1
-- kind:      minutes
-- title:     Part 1: call to team
-- question:  Of the time from call to scope in, how long was it until the team was complete?
-- eligible:  call, team complete, cart at the bedside, airway ready and scope in recorded, the team 0 minutes to 12 hours after the call, the cart from 1 hour before the call to 12 hours after, the airway ready at most 6 hours before the scope went in, the scope in at most 14 days after the call, and neither team nor cart nor airway later than scope in, for such a case cannot be parted; cases cancelled or transferred before the scope went in, that is with no scope in recorded, are not of the population
-- hit:       minutes from call to team complete; parts 1 to 4 of a case add up to its minutes from call to scope in
-- better:    lower
-- source:    definition of this report
select
    case_id, site, month, shift, presentation,
    case
        when team_minute - called_minute >= 0
            and team_minute - called_minute <= 720
            and cart_minute - called_minute >= -60
            and cart_minute - called_minute <= 720
            and scope_in_minute - airway_minute <= 360
            and scope_in_minute - called_minute <= 20160
            and team_minute <= scope_in_minute
            and cart_minute <= scope_in_minute
            and airway_minute <= scope_in_minute
        then 1
        else 0
    end as eligible,
    team_minute - called_minute as minutes,
    1 as reached
from cases
where scope_in_minute is not null
    or outcome is null
    or outcome not in ('cancelled', 'transferred')
