"""Prints the backtest of the six invented shops.

python -m tests.jobs.leadtime.truth [jobs] [every] [replications] [first letters of the shops]
"""

import sys
import time

from jobs.leadtime.backtest import (
    RECALIBRATED,
    SIMULATION,
    ReplayPlan,
    replay_quotes,
    score_quotes,
    write_table,
)
from jobs.leadtime.baselines import Rule
from tests.jobs.leadtime.truth.life import live_through
from tests.jobs.leadtime.truth.shops import DAY_H, SHOPS, known_shop, smaller


def main(jobs=2350, every=3, replications=300, only=""):
    """Print one table per shop and the gains over the simple rules."""
    for truth in SHOPS:
        if only and truth.name[0] not in only:
            continue
        truth = smaller(truth, jobs=jobs)  # noqa: PLW2901
        begun = time.process_time()
        past = live_through(truth)
        plan = ReplayPlan(first=min(500, jobs // 2), every=every, replications=replications)
        quotes = replay_quotes(known_shop(truth), past=past, plan=plan)
        result = score_quotes(quotes, day_hours=DAY_H)
        took_s = time.process_time() - begun
        lines = [f"\n{truth.name} ({took_s:.0f} s of processor time)", write_table(result)]
        for rule in Rule:
            raw, moved = (100 * result.gain_over(rule, method=way) for way in (SIMULATION, RECALIBRATED))
            lines.append(f"  pinball below {rule.value}: {raw:.0f} %, recalibrated {moved:.0f} %")
        sys.stdout.write("\n".join(lines) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))
