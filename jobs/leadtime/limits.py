"""What do the jobs in the queues wait for: a bench that is full, or people who are needed in several places?

A person can stand at one bench only, so the hours asked of people are added up over all benches they alone
can serve. For people P that is the work of every centre whose people all belong to P, over the hours of P;
however the work is given out, somebody of P is loaded at least so much (Hall's condition).
"""

from collections.abc import Mapping, Sequence

from jobs.leadtime.ranges import CentreLoad, Limit
from jobs.leadtime.routes import WorkCentre
from jobs.leadtime.state import ShopState

AHEAD_WEEKS = 4.0
"""The work that waits now counts beside that of so many weeks of arrivals."""
MOST_TEAMS = 10
CLEARLY_MORE = 1.001
People = frozenset[str]


def find_limit(
    loads: Sequence[CentreLoad],
    *,
    queued_at: str,
    state: ShopState,
    week_h: float,
    people_h: Mapping[str, float],
) -> Limit:
    """Return what holds up the queue at the centre `queued_at`: its benches, or the people who work there.

    People are the limit when their load is above that of the benches. `week_h` is the open hours of a week,
    `people_h` the hours that each person works in one.
    """
    by_slug, centres = {load.work_centre: load for load in loads}, state.centres
    names = {person.slug: person.name for person in state.people}
    centre = next(each for each in centres if each.slug == queued_at)
    at_benches = _asked_hours(by_slug[queued_at]) / max(centre.benches * week_h * AHEAD_WEEKS, 1e-9)
    people, of_people = _find_tightest(by_slug, centre=centre, centres=centres, people_h=people_h)
    if of_people <= at_benches * CLEARLY_MORE:
        return Limit(queued_at, load_share=round(at_benches, 3))
    needed_at = tuple(
        each.slug
        for each in centres
        if each.people and people >= set(each.people) and _asked_hours(by_slug[each.slug]) > 0
    )
    return Limit(
        queued_at,
        people=tuple(names.get(slug, slug) for slug in sorted(people)),
        needed_at=needed_at,
        load_share=round(of_people, 3),
    )


def _asked_hours(load: CentreLoad) -> float:
    return load.backlog_hours + AHEAD_WEEKS * load.weekly_demand_hours


def _find_tightest(
    by_slug: Mapping[str, CentreLoad],
    *,
    centre: WorkCentre,
    centres: Sequence[WorkCentre],
    people_h: Mapping[str, float],
) -> tuple[People, float]:
    """Return the people round this centre with the highest load; on equal terms the fewest."""
    own = frozenset(centre.people)
    if not own:
        return own, 0.0
    best, best_share = own, -1.0
    for people in sorted(_join_teams(own, centres=centres), key=lambda team: (len(team), sorted(team))):
        asked_h = sum(
            _asked_hours(by_slug[each.slug]) for each in centres if each.people and people >= set(each.people)
        )
        has_h = sum(people_h.get(slug, 0.0) for slug in people)
        share = asked_h / max(has_h * AHEAD_WEEKS, 1e-9)
        if share > best_share * CLEARLY_MORE:
            best, best_share = people, share
    return best, best_share


def _join_teams(own: People, *, centres: Sequence[WorkCentre]) -> set[People]:
    """Return this centre's people joined with teams that share somebody with them, directly or in a chain."""
    teams = list(dict.fromkeys(frozenset(each.people) for each in centres if each.people))[:MOST_TEAMS]
    found, fresh = {own}, {own}
    while fresh:
        fresh = {joined | team for joined in fresh for team in teams if joined & team} - found
        found |= fresh
    return found
