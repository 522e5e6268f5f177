"""The refusals of the jobs package, each a sentence a person can act on."""


class JobsError(Exception):
    """Base of every refusal raised in `jobs`; `str(error)` is shown to people as it is."""


class IllegalTransition(JobsError):
    """The job's stage or hold, or the person's role, does not allow this event."""


class MissingFact(JobsError):
    """An event lacks a fact that has to be known before it can be recorded."""


class StaleEdit(JobsError):
    """Somebody else changed the same record since this page was opened."""


class UnknownJob(JobsError):
    """No job that this person may see answers to this."""


class SubmissionConflict(JobsError):
    """The same form was sent twice with different answers."""
