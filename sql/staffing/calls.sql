-- id:        calls
-- version:   1
-- title:     Calls and what binds a team
-- question:  When did each call come, when was the team there, and when was it free again?
-- rows:      every accepted case, one row each, also one that was cancelled or transferred; no case is left out
-- moments:   minutes as the records have them; null where nobody recorded the moment, and nothing is put in its place
-- deadline:  the last minute within the window of the case, counted from the moment from which the window counts; null where no window fits, where the guideline gives no time, or where its start is not recorded
-- site:      not_recorded where the record names none; such calls are taken as those of one site
-- times:     clock times only; minutes since the call cannot say which calls meet
-- source:    common practice, no source
select
    coalesce(site, 'not_recorded') as site,
    month,
    weekday,
    hour,
    shift,
    presentation,
    called_minute as called,
    team_minute as team,
    scope_in_minute as scope_in,
    scope_out_minute as scope_out,
    ended_minute as ended,
    released_minute as released,
    window_start_minute + window_minutes as deadline
from cases
