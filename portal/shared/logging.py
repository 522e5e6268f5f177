"""What does a log line look like? One JSON object: when, how grave, which part, what, and nobody's data."""

import json
import logging
import traceback
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings

FRAMES_KEPT = 12


class JsonLineFormatter(logging.Formatter):
    """Writes a record as one line of JSON.

    The framework's own request messages are left out, since they hold the path; so is the text of an
    exception, since it can hold what a person typed. Its kind and its place in the code are kept.
    """

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, tz=UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "part": record.name,
        }
        extra = getattr(record, "line", None)
        request = getattr(record, "request", None)
        if isinstance(extra, dict):
            line.update(extra)
        elif record.name.startswith(("django.request", "django.security")):
            line["what"] = "fault" if record.exc_info else "refused"
            line["status"] = getattr(record, "status_code", None)
        else:
            line["what"] = record.getMessage()
        if request is not None and "request" not in line:
            line["request"] = getattr(request, "request_id", None)
        if record.exc_info and record.exc_info[0] is not None:
            line["exception"] = record.exc_info[0].__qualname__
            line["at"] = places(record.exc_info[2])
            if settings.DEBUG:
                line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False, default=str)


def places(trace: object) -> list[str]:
    """Return the innermost places of a traceback as `file:line function`, without the code or its values."""
    frames = traceback.extract_tb(trace)  # type: ignore[arg-type]
    return [
        f"{'/'.join(Path(frame.filename).parts[-2:])}:{frame.lineno} {frame.name}"
        for frame in frames[-FRAMES_KEPT:]
    ]
