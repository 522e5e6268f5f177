"""Prints the backtest of the six invented shops: python -m tests.jobs.leadtime.truth [jobs] [every] [replications]."""

import sys
import time

from jobs.leadtime.backtest import RECALIBRATED, SIMULATION, ReplayPlan, replay_quotes, score_quotes, write_table
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
        print(f"\n{truth.name} ({took_s:.0f} s of processor time)")
        print(write_table(result))
        for rule in Rule:
            gains = [100 * result.gain_over(rule, method=method) for method in (SIMULATION, RECALIBRATED)]
            print(f"  pinball below {rule.value}: {gains[0]:.0f} %, recalibrated {gains[1]:.0f} %", flush=True)


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))
