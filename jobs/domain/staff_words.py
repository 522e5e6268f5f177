"""What is written to the customer, as the people of the shop read it: the customer in the third person.

A reason for waiting and a reason of a forecast are kept as the customer reads them. The shop's own pages show
them by these two functions, so that "your yes or no" never seems to ask the person at the bench.
"""

from jobs.domain.stages import HoldKind

EXTRA_WORK_REASON = "Your yes or no to the extra work"
"""Why a job waits that has extra work to be decided, as its customer reads it."""
_ADDRESSED = {
    EXTRA_WORK_REASON: "The customer's yes or no to the extra work",
    "Your answer to our findings": "The customer's answer to our findings",
    "Your answer, if we have to ask": "The customer's answer, if we have to ask",
}


def reason_for_staff(reason: str) -> str:
    """Return a sentence to the customer as the shop's people read it; any other stays as it is.

    >>> reason_for_staff("Your answer to our findings: about 2 working days.")
    "The customer's answer to our findings: about 2 working days."
    """
    for ours, theirs in _ADDRESSED.items():
        if reason.startswith(ours):
            return theirs + reason.removeprefix(ours)
    return reason


def hold_for_staff(reason: str, *, hold: HoldKind) -> str:
    """Return why a job is held as the shop's people read it; a question to the customer says that it is one.

    >>> hold_for_staff("Can you send what is missing?", hold=HoldKind.ANSWER)
    'We asked: Can you send what is missing?'
    """
    if hold is HoldKind.ANSWER and reason.rstrip().endswith("?"):
        return f"We asked: {reason}"
    return reason_for_staff(reason)
