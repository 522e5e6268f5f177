"""The refusals of the jobs package, each a sentence a person can act on."""


class JobsError(Exception):
    """Base of every refusal raised in `jobs`; `str(error)` is shown to people as it is."""


class IllegalTransition(JobsError):
    """The job's stage or hold, or the person's role, does not allow this event."""


class MissingFact(JobsError):
    """An event lacks a fact that has to be known before it can be recorded."""


class IntakeClosed(JobsError):
    """The shop takes no new units at the moment; `note` is what the owner says about it."""

    def __init__(self, note: str) -> None:
        kept = "What you have written is kept: send it when bookings are open again, or ask us."
        super().__init__(
            " ".join(part for part in ("We take no new units at the moment.", note, kept) if part)
        )


class StaleEdit(JobsError):
    """Somebody else changed the same record since this page was opened."""


class UnknownJob(JobsError):
    """No job that this person may see answers to this."""


class SubmissionConflict(JobsError):
    """What was sent cannot be taken any more: it was sent before, or its page was closed meanwhile."""
