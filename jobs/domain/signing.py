"""Did the person who is about to sign a unit off test it themselves?"""

from jobs.domain.actors import Actor
from jobs.domain.replay import JobState


def is_tester(actor: Actor, *, state: JobState) -> bool:
    """Return whether this person tested the unit: the same person by whatever name, then or now.

    Older events keep a name alone; those are compared by it.
    """
    if actor.user_id is None or state.tested_by_user_id is None:
        return state.tested_by == actor.name
    return state.tested_by_user_id == actor.user_id
