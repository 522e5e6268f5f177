"""Who does something: every write names its actor, and there is no default."""

from dataclasses import dataclass

from jobs.domain.stages import Role


@dataclass(frozen=True, slots=True)
class Actor:
    """A person or the system, as the log names them."""

    role: Role
    name: str
    user_id: int | None = None
    customer_id: int | None = None


def system_actor(name: str) -> Actor:
    """Return the actor for work that no person asked for, such as a nightly forecast."""
    return Actor(role=Role.SYSTEM, name=name)
