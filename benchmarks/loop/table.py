"""The closed loop as a table for the documentation."""

import statistics
from collections.abc import Callable, Sequence
from typing import Protocol


class Judged(Protocol):
    """What the table shows of one car."""

    car: str
    first_s: float
    best_s: float
    plan: dict[int, float]
    thumb: dict[int, float]
    optimiser: dict[int, float]
    plan_crossed: int
    thumb_crossed: int
    optimiser_crossed: int


def table_text(told: Sequence[Judged]) -> str:
    """Markdown: a row a car, regrets in percent, medians and worsts below."""
    columns: list[tuple[str, Callable[[Judged], float]]] = [
        *((f"plan {n}", lambda one, n=n: one.plan[n]) for n in told[0].plan),
        *((f"thumb {n}", lambda one, n=n: one.thumb[n]) for n in told[0].thumb),
        *((f"optimiser {n}", lambda one, n=n: one.optimiser[n]) for n in told[0].optimiser),
    ]
    head = ["car", "first s", "best s", *(name for name, _ in columns), "over a guard"]
    rows = [
        [
            one.car,
            f"{one.first_s:.2f}",
            f"{one.best_s:.2f}",
            *(f"{100.0 * value(one):.0f} %" for _, value in columns),
            f"{one.plan_crossed} / {one.thumb_crossed} / {one.optimiser_crossed}",
        ]
        for one in told
    ]
    for word, of in (("median", statistics.median), ("worst", max)):
        rows.append([word, "", "", *(f"{100.0 * of([value(one) for one in told]):.0f} %" for _, value in columns), ""])
    lines = ["| " + " | ".join(row) + " |" for row in [head, ["---"] * len(head), *rows]]
    return "\n".join(
        [
            "Regret of the proposed setup after so many plans or passes; last, passes over a guard of each.",
            "Made by `python -m benchmarks closed_loop`; do not edit.",
            "",
            *lines,
            "",
        ]
    )
