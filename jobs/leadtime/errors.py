"""The refusals of the lead-time package, each a sentence a person can act on."""

from jobs.domain.errors import JobsError


class LeadTimeError(JobsError):
    """Base of every refusal raised in `jobs.leadtime`; `str(error)` is shown to people as it is."""


class NoOpeningHours(LeadTimeError):
    """The shop's opening hours leave no working time to count."""

    def __init__(self) -> None:
        super().__init__(
            "The shop is never open in the years ahead: enter opening hours, or shorten a closure."
        )


class NoRoute(LeadTimeError):
    """No route serves this family."""

    def __init__(self, family: str) -> None:
        self.family = family
        super().__init__(f"No route serves the family “{family}”: add the family to a route.")


class RouteUnusable(LeadTimeError):
    """A route cannot be worked as written; `problems` names each key and what to do about it."""

    def __init__(self, problems: "tuple[tuple[str, str], ...]") -> None:
        self.problems = problems
        super().__init__(" ".join(f"{key}: {sentence}" for key, sentence in problems))


class QueueTooLong(LeadTimeError):
    """A date lies beyond the years for which opening hours are laid out."""

    def __init__(self, family: str) -> None:
        self.family = family
        words = family.replace("_", " ")
        super().__init__(
            f"No date can be given for the family “{words}”: the queue is longer than four years. Add benches"
            " or people, let runs begin with fewer units, or take in less."
        )


class MomentWithoutZone(LeadTimeError):
    """A moment was given without a time zone."""

    def __init__(self) -> None:
        super().__init__("A moment needs a time zone before working hours can be counted: give it one.")


class NotEnoughRuns(LeadTimeError):
    """Too few replications to read an 80 % date from."""

    def __init__(self, replications: int, *, least: int) -> None:
        super().__init__(f"{replications} replications are too few to read dates from: use at least {least}.")


class ScoreRefused(LeadTimeError):
    """A score or a coverage figure was asked for outside its range."""


class TooManyPasses(LeadTimeError):
    """The loops of a route did not settle in the fast engine."""

    def __init__(self, passes: int) -> None:
        super().__init__(f"The loops of a route did not settle in {passes} passes: use the event loop.")


class ChangeRefused(LeadTimeError):
    """A change was asked for that cannot be made to this shop."""


class BacktestRefused(LeadTimeError):
    """A history is too short to be replayed, or holds nothing to quote."""
