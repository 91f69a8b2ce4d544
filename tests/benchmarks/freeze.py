"""Print how long the freeze table takes: to load, to ask, and one node to build.

Run by hand: `python tests/benchmarks/freeze.py` from the top of the repository.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

from decision.freeze.contact import freeze_and_thaw, patch
from decision.freeze.lookup import load_freeze_table
from decision.freeze.priors import nominal
from decision.freeze.table_file import TABLE, read_table


def median_us(action: Callable[[], object], times: int) -> float:
    seconds = []
    for _ in range(times):
        started = time.perf_counter()
        action()
        seconds.append(time.perf_counter() - started)
    return 1e6 * statistics.median(seconds)


def main() -> None:
    table = load_freeze_table()
    print(f"table.json       {TABLE.stat().st_size / 1e6:.2f} MB, {table.version}, {table.digest[:19]}")
    print(f"load             {median_us(read_table, 7) / 1e3:.1f} ms")
    print(f"estimate         {median_us(lambda: table.estimate('cone', 6.3, 22, 'trunk'), 5000):.0f} us")
    second = median_us(lambda: table.estimate("cone", 6.3, 22, "trunk", cycle=2), 5000)
    print(f"estimate cycle 2 {second:.0f} us")
    seen = median_us(lambda: table.given_thaw("cone", 6.3, 22, "trunk", observed_thaw_s=50), 500)
    print(f"given_thaw       {seen:.0f} us")
    print(f"far_side         {median_us(lambda: table.far_side('cone', 6.3, 'air', 1.7), 5000):.0f} us")
    times = table.file.contact_s
    build_s = 0.0
    for applicator, axis in table.file.diameter_mm.items():
        for diameter in (axis[0], axis[len(axis) // 2], axis[-1]):
            one = nominal(applicator, "trunk")
            freeze_and_thaw(patch(applicator, diameter, "trunk", one), times[:1])
            draw_us = median_us(
                lambda a=applicator, d=diameter, n=one: freeze_and_thaw(patch(a, d, "trunk", n), times), 3
            )
            build_s += draw_us / 1e6 * table.file.draw_count * len(axis) * 3 / 3
            print(
                f"one draw         {draw_us / 1e3:.0f} ms: {applicator}, {diameter:g} mm, all contact times and thaws"
            )
    print(f"bands, one core  about {build_s / 60:.0f} minutes for {table.file.draw_count} draws; cycles add half")


if __name__ == "__main__":
    main()
