"""Where is what an owner has typed but not published? In the session, one draft for each document."""

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import Any

from django.contrib.sessions.backends.base import SessionBase

from portal.owner.kinds import DocumentKind
from portal.owner.typed import Typed

KEY = "owner_drafts"
MOST_DRAFTS = 20
NEW = "new"


@dataclass(frozen=True, slots=True)
class Draft:
    """What was typed, and the revision that was published when the typing began (0: none)."""

    tree: Typed
    based_on: int

    @property
    def mark(self) -> str:
        """A short mark of exactly this draft: a preview carries it, and what was typed since has another."""
        told = json.dumps(asdict(self), sort_keys=True)
        return hashlib.sha256(told.encode()).hexdigest()[:16]


def keep_draft(session: SessionBase, *, kind: DocumentKind, slug: str, draft: Draft) -> None:
    """Keep a draft; of more than twenty the oldest is given up."""
    kept: dict[str, Any] = dict(session.get(KEY, {}))
    kept.pop(_name(kind, slug), None)
    kept[_name(kind, slug)] = asdict(draft)
    session[KEY] = dict(list(kept.items())[-MOST_DRAFTS:])


def find_draft(session: SessionBase, *, kind: DocumentKind, slug: str) -> Draft | None:
    """Return the draft of a document, or None."""
    kept = session.get(KEY, {}).get(_name(kind, slug))
    return Draft(**kept) if kept else None


def drop_draft(session: SessionBase, *, kind: DocumentKind, slug: str) -> None:
    """Forget the draft of a document."""
    kept = dict(session.get(KEY, {}))
    if kept.pop(_name(kind, slug), None) is not None:
        session[KEY] = kept


def drafted(session: SessionBase, *, kind: DocumentKind) -> frozenset[str]:
    """Return the slugs of one kind that have a draft."""
    names = (name.split("/", 1) for name in session.get(KEY, {}))
    return frozenset(slug for key, slug in names if key == kind.key)


def _name(kind: DocumentKind, slug: str) -> str:
    return f"{kind.key}/{slug or NEW}"
