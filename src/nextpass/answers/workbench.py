"""The answers of `nextpass workbench` and `nextpass coastdown`: sums that show their work."""

from nextpass.answers.schema import Answer, EstimateAnswer, estimate_answer
from nextpass.measure import Absent
from nextpass.review import RoadLoad
from nextpass.workbench import Line, WorkedSum


class LineAnswer(Answer):
    """One figure of a sum; null with its reason where it cannot be said. Its unit stands at the end of the name."""

    name: str
    label: str
    gear: int | None
    value: EstimateAnswer | None
    reason: str
    formula: str


class SumAnswer(Answer):
    """A sum with what went in, each step, what came out and what to beware of."""

    title: str
    inputs: list[LineAnswer]
    steps: list[LineAnswer]
    results: list[LineAnswer]
    cautions: list[str]


class RoadLoadAnswer(Answer):
    """Road load by the coast-downs; slope and wind are null where they ran in one direction alone."""

    constant_n: EstimateAnswer
    per_speed_squared_kgpm: EstimateAnswer
    drag_area_m2: EstimateAnswer
    rolling_resistance: EstimateAnswer
    slope_pct: EstimateAnswer | None
    headwind_mps: EstimateAnswer | None
    not_supported: list[str]


def sum_answer(worked: WorkedSum) -> SumAnswer:
    """A worked sum as JSON."""
    return SumAnswer(
        title=worked.title,
        inputs=[_line_answer(line) for line in worked.inputs],
        steps=[_line_answer(line) for line in worked.steps],
        results=[_line_answer(line) for line in worked.results],
        cautions=list(worked.cautions),
    )


def road_load_answer(load: RoadLoad) -> RoadLoadAnswer:
    """Road load as JSON."""
    open_ones = {"slope_pct": load.slope, "headwind_mps": load.headwind_mps}
    return RoadLoadAnswer(
        constant_n=_plain(load.constant_n.value, load.constant_n.plus_minus),
        per_speed_squared_kgpm=_plain(load.per_speed_squared_kgpm.value, load.per_speed_squared_kgpm.plus_minus),
        drag_area_m2=_plain(load.drag_area_m2.value, load.drag_area_m2.plus_minus),
        rolling_resistance=_plain(load.rolling_resistance.value, load.rolling_resistance.plus_minus),
        slope_pct=estimate_answer(load.slope, 100.0),
        headwind_mps=estimate_answer(load.headwind_mps),
        not_supported=[f"{name}: {one.reason}" for name, one in open_ones.items() if isinstance(one, Absent)],
    )


def _line_answer(line: Line) -> LineAnswer:
    reason = line.value.reason if isinstance(line.value, Absent) else ""
    return LineAnswer(
        name=line.name,
        label=line.label,
        gear=line.gear,
        value=None if isinstance(line.value, Absent) else _plain(line.value.value, line.value.plus_minus),
        reason=reason,
        formula=line.formula,
    )


def _plain(value: float, plus_minus: float) -> EstimateAnswer:
    # Small coefficients would lose their digits to a fixed number of decimals.
    return EstimateAnswer(value=float(f"{value:.6g}"), plus_minus=float(f"{plus_minus:.3g}"))
