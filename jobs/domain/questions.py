"""Which question of the shop still wants the customer's answer?"""

from jobs.domain.lifecycle import TRANSITIONS
from jobs.domain.stages import ENDED, EventKind

E = EventKind
# The yes to a booking settles what was asked before it; what is asked after it is asked for its own sake.
SETTLES_QUESTION = frozenset(
    {E.QUESTION_ANSWERED, E.CLEARED} | {kind for kind, row in TRANSITIONS.items() if row.target in ENDED}
)
TOLD_OF_QUESTIONS = SETTLES_QUESTION | {E.QUESTION_ASKED}
