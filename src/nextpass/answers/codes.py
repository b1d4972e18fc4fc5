"""The answers of `nextpass codes` and `nextpass guided`."""

from typing import Literal

from nextpass.answers.schema import DECIMALS, Answer, EstimateAnswer, estimate_answer
from nextpass.health import CodeStates, ReadCode, WeighedCause, WeighedCodes
from nextpass.health.guided import IdleBalance, LeakDown, PumpStage, PumpTest
from nextpass.obd import TroubleCode

PERCENT = 100.0


class ReadCodeAnswer(Answer):
    """A code and what it says by itself; `is_listed` is false where only its structure is known."""

    code: str
    meaning: str
    is_standardised: bool
    is_listed: bool
    causes: list[str]


class CauseAnswer(Answer):
    """One cause weighed against the logs; `share` is of the causes listed."""

    name: str
    title: str
    share: float
    codes: list[str]
    speaks_for: list[str]
    speaks_against: list[str]
    not_seen: list[str]
    next_step: str


class StatesAnswer(Answer):
    """Codes before and now."""

    gone: list[str]
    stayed: list[str]
    came: list[str]


class CodesAnswer(Answer):
    """The answer of `nextpass codes`."""

    codes: list[ReadCodeAnswer]
    causes: list[CauseAnswer]
    passes: list[str]
    is_settled: bool
    is_silent: bool
    states: StatesAnswer | None
    cautions: list[str]


class IdleAnswer(Answer):
    """A guided idle; trims in percent."""

    test: Literal["idle"] = "idle"
    seconds: float
    idle_rpm: EstimateAnswer | None
    roughness_rpm: EstimateAnswer | None
    trim_bank1_pct: EstimateAnswer | None
    trim_bank2_pct: EstimateAnswer | None
    trims_apart_pct: EstimateAnswer | None
    is_warm: bool | None
    verdicts: list[str]


class PumpStageAnswer(Answer):
    """One pump run alone."""

    channel: str
    start_s: float
    end_s: float
    rise_kpa: float
    reached_kpa: EstimateAnswer | None
    build_s: EstimateAnswer | None
    decay_s: EstimateAnswer | None
    came_in: bool | None


class PumpTestAnswer(Answer):
    """Pumps run one by one."""

    test: Literal["pumps"] = "pumps"
    rated_kpa: float
    stages: list[PumpStageAnswer]
    verdicts: list[str]


class LeakDownAnswer(Answer):
    """A leak-down of the charge system."""

    test: Literal["leakdown"] = "leakdown"
    channel: str
    filled_kpa: float
    time_constant_s: EstimateAnswer | None
    lost_in_10s_pct: EstimateAnswer | None
    verdicts: list[str]


GuidedAnswer = IdleAnswer | PumpTestAnswer | LeakDownAnswer


def codes_answer(weighed: WeighedCodes, states: CodeStates | None = None) -> CodesAnswer:
    """Codes by the contract, with what changed since they were read before."""
    return CodesAnswer(
        codes=[_read_answer(one) for one in weighed.codes],
        causes=[_cause_answer(one) for one in weighed.causes],
        passes=list(weighed.passes),
        is_settled=weighed.is_settled,
        is_silent=weighed.is_silent,
        states=None
        if states is None
        else StatesAnswer(gone=_names(states.gone), stayed=_names(states.stayed), came=_names(states.came)),
        cautions=list(weighed.cautions),
    )


def guided_answer(found: IdleBalance | PumpTest | LeakDown) -> GuidedAnswer:
    """A guided test by the contract."""
    match found:
        case IdleBalance():
            return IdleAnswer(
                seconds=round(found.seconds, 1),
                idle_rpm=estimate_answer(found.idle_rpm),
                roughness_rpm=estimate_answer(found.roughness_rpm),
                trim_bank1_pct=estimate_answer(found.trim_bank1, PERCENT),
                trim_bank2_pct=estimate_answer(found.trim_bank2, PERCENT),
                trims_apart_pct=estimate_answer(found.trims_apart, PERCENT),
                is_warm=found.is_warm,
                verdicts=list(found.verdicts),
            )
        case PumpTest():
            return PumpTestAnswer(
                rated_kpa=found.rated_kpa,
                stages=[_stage_answer(stage) for stage in found.stages],
                verdicts=list(found.verdicts),
            )
        case LeakDown():
            return LeakDownAnswer(
                channel=found.channel,
                filled_kpa=round(found.filled_kpa, 2),
                time_constant_s=estimate_answer(found.time_constant_s),
                lost_in_10s_pct=estimate_answer(found.lost_in_10s, PERCENT),
                verdicts=[found.verdict],
            )


def _read_answer(one: ReadCode) -> ReadCodeAnswer:
    return ReadCodeAnswer(
        code=str(one.code),
        meaning=one.meaning,
        is_standardised=one.code.is_standardised,
        is_listed=one.is_listed,
        causes=list(one.causes),
    )


def _cause_answer(one: WeighedCause) -> CauseAnswer:
    return CauseAnswer(
        name=one.name,
        title=one.title,
        share=round(one.share, DECIMALS),
        codes=_names(one.codes),
        speaks_for=list(one.speaks_for),
        speaks_against=list(one.speaks_against),
        not_seen=list(one.not_seen),
        next_step=one.next_step,
    )


def _stage_answer(stage: PumpStage) -> PumpStageAnswer:
    return PumpStageAnswer(
        channel=stage.channel,
        start_s=round(stage.start_s, DECIMALS),
        end_s=round(stage.end_s, DECIMALS),
        rise_kpa=round(stage.rise_kpa, 2),
        reached_kpa=estimate_answer(stage.reached_kpa),
        build_s=estimate_answer(stage.build_s),
        decay_s=estimate_answer(stage.decay_s),
        came_in=stage.came_in,
    )


def _names(codes: tuple[TroubleCode, ...]) -> list[str]:
    return [str(code) for code in codes]
