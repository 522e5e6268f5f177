"""How fast are the engines on the same durations, how does the sweep grow, and what memory does it take?"""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import process_time

from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.sweep import run_sweep, sweep_finishes
from jobs.management.bench.leadtime_scene import SceneSize, draw_scene, lay_floor, lay_scene
from jobs.management.bench.timing import lay_out

LOOPED, SIMPY = 10, 3  # replications of the slow engines; their cost grows with the number, so it is scaled
PEAK = """
import sys
from pathlib import Path
from jobs.leadtime.sweep import sweep_finishes
from jobs.management.bench.leadtime_scene import SceneSize, lay_scene
sweep_finishes(*lay_scene(SceneSize(int(sys.argv[1]), jobs_share=float(sys.argv[2]))))
status = Path("/proc/self/status").read_text()
print(status.partition("VmHWM:")[2].split()[0])
"""


def bench_engines(*, replications: int, jobs_share: float = 1.0, repeats: int = 3) -> str:
    """Return the table of all engines as multiples of the sweep, its growth, and its peak memory.

    Processor time, not time on the clock, so that others at work on the machine change little.
    """
    size = SceneSize(replications, jobs_share=jobs_share)
    floor, draws = lay_scene(size)
    jobs = len(draws.stations_of)
    sweep_s = _spend(lambda: sweep_finishes(floor, draws), repeats=repeats)
    rows = [("sweep, finish hours", sweep_s)]
    rows.append(("sweep, whole passage", _spend(lambda: run_sweep(floor, draws), repeats=repeats)))
    drawn_s = _spend(lambda: sweep_finishes(lay_floor(size), draw_scene(size)), repeats=repeats)
    rows.append(("drawing and sweep", drawn_s))
    few = lay_scene(SceneSize(LOOPED, jobs_share=jobs_share))
    loop_s = _spend(lambda: run_event_loop(*few), repeats=1) * replications / LOOPED
    rows.append(("event loop", loop_s))
    simpy_s = _spend_simpy(jobs_share)
    if simpy_s is not None:
        rows.append(("SimPy", simpy_s * replications))
    engines = lay_out(
        (f"{replications} replications of {jobs} jobs", "processor ms", "of the sweep"),
        rows=[(name, f"{1000 * spent:.0f}", f"{spent / sweep_s:.1f} x") for name, spent in rows],
    )
    peak = _measure_peak(size)
    return "\n\n".join((engines, _grow(replications, jobs_share, repeats=repeats), peak))


def _grow(replications: int, jobs_share: float, *, repeats: int) -> str:
    sizes = [SceneSize(max(replications * share // 4, 20), jobs_share=jobs_share) for share in (1, 2, 4, 8)]
    sizes += [SceneSize(replications, jobs_share=jobs_share * share) for share in (0.25, 0.5, 2.0)]
    sizes += [SceneSize(replications, jobs_share=jobs_share, rework_share=share) for share in (0.05, 0.15)]
    rows = []
    for size in sizes:
        floor, draws = lay_scene(size)
        spent = _spend(lambda floor=floor, draws=draws: sweep_finishes(floor, draws), repeats=repeats)  # type: ignore[misc]
        jobs = len(draws.stations_of)
        rework = f"{100 * size.rework_share:.0f} %"
        each = 1e6 * spent / (jobs * size.replications)
        rows.append((str(jobs), str(size.replications), rework, f"{1000 * spent:.0f}", f"{each:.2f}"))
    return lay_out(("jobs", "replications", "fail their test", "processor ms", "us a job"), rows=rows)


def _spend(task: Callable[[], object], *, repeats: int) -> float:
    times_s = []
    for _ in range(max(repeats, 1)):
        began = process_time()
        task()
        times_s.append(process_time() - began)
    return max(median(times_s), 1e-6)


def _spend_simpy(jobs_share: float) -> float | None:
    """Return the seconds of one replication in SimPy, or None where it is not installed."""
    try:
        from jobs.management.bench.simpy_shop import run_simpy  # noqa: PLC0415 - a tool of the tests
    except ImportError:
        return None
    floor, draws = lay_scene(SceneSize(SIMPY, jobs_share=jobs_share))
    return _spend(lambda: [run_simpy(floor, draws, replication=at) for at in range(SIMPY)], repeats=1) / SIMPY


def _measure_peak(size: SceneSize) -> str:
    run = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", PEAK, str(size.replications), str(size.jobs_share)],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).resolve().parents[3],
    )
    if run.returncode or not run.stdout.strip().isdigit():
        return "Peak memory could not be measured here."
    return f"Peak memory of drawing and sweep in a process of its own: {int(run.stdout) / 1024:.0f} MB."
