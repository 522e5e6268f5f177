"""Many people at the same moment: threads that start together, each with its own connection."""

import threading
from dataclasses import dataclass, field

from django.db import connections

THREADS_MOST = 48
"""A PostgreSQL as it is installed takes 100 connections; the site itself uses 16."""


@dataclass
class Crowd:
    """What came of everybody's attempt: answers, and the refusals and faults that were raised."""

    answers: list = field(default_factory=list)
    raised: list = field(default_factory=list)

    def of(self, kind):
        return [fault for fault in self.raised if isinstance(fault, kind)]


def at_once(*tasks):
    """Call every task from as many threads as may be, all waiting for the same start; return the `Crowd`."""
    crowd, left = Crowd(), list(enumerate(tasks))
    threads_number = min(len(tasks), THREADS_MOST)
    start = threading.Barrier(threads_number)

    def work():
        try:
            start.wait()
            while True:
                try:
                    _, task = left.pop()
                except IndexError:
                    return
                try:
                    crowd.answers.append(task())
                except Exception as fault:
                    crowd.raised.append(fault)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=work) for _ in range(threads_number)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(crowd.answers) + len(crowd.raised) == len(tasks)
    return crowd
