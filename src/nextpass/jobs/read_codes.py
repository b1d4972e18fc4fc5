"""From trouble codes as people give them to what they mean for the car."""

from collections.abc import Sequence
from pathlib import Path

from nextpass.book import KeptCar
from nextpass.errors import FileError, NotEnoughData, Where
from nextpass.health import CodeStates, WeighedCodes, compare_states, weigh_codes
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.kept_passes import chosen_passes, named_pass
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_folders
from nextpass.obd import TroubleCode, trouble_codes_in
from nextpass.words import phrase

# A scan's printout has some kilobytes.
LARGEST_BYTES = 1_000_000


def codes_in(texts: Sequence[str]) -> tuple[TroubleCode, ...]:
    """Codes that some texts name, each once, in their order.

    Raises
    ------
    NotEnoughData
        A text without a code.
    """
    found: list[TroubleCode] = []
    for text in texts:
        codes = trouble_codes_in(text)
        if not codes:
            shown = text.strip().splitlines()[0][:60] if text.strip() else ""
            raise NotEnoughData(
                phrase("refusal.jobs.no_code_in", shown=shown), remedy=phrase("refusal.jobs.write_code")
            )
        found.extend(codes)
    return tuple(dict.fromkeys(found))


def codes_of_file(file: Path) -> tuple[TroubleCode, ...]:
    """Codes that a text file names, such as a scan's printout.

    Raises
    ------
    FileError
        The file cannot be read as text.
    NotEnoughData
        It names no code.
    """
    try:
        if file.stat().st_size > LARGEST_BYTES:
            raise FileError(
                phrase("refusal.common.larger", megabytes=LARGEST_BYTES // 1_000_000),
                Where(file=file),
                phrase("refusal.jobs.no_printout"),
            )
        text = file.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        raise FileError(
            phrase("refusal.common.unread", reason=error.strerror),
            Where(file=file),
            phrase("refusal.common.check_path"),
        ) from error
    return codes_in([text])


def weigh_code_texts(
    codes: Sequence[TroubleCode],
    before: Sequence[TroubleCode] = (),
    car_file: Path | None = None,
    folders: Sequence[Path] = (),
    report: ProgressReport = silent,
) -> tuple[WeighedCodes, CodeStates | None]:
    """Codes weighed against passes of the car, and what changed since they were read before.

    Parameters
    ----------
    before : sequence of TroubleCode
        As read before clearing or repair; empty where they were not.
    folders : sequence of Path
        Passes that the codes came with; they need the car file.

    Raises
    ------
    NotEnoughData
        No code, or passes without the car's file.
    """
    _check_named(codes, before)
    if folders and car_file is None:
        raise NotEnoughData(phrase("refusal.jobs.pass_needs_car"), remedy=phrase("refusal.jobs.give_car"))
    states = compare_states(before, codes) if before else None
    if car_file is None or not folders:
        return weigh_codes(codes), states
    car, passes = review_folders(car_file, folders, part(report, 0.0, 0.8))
    report(phrase("codes.doing"), 0.8)
    return weigh_codes(codes, car, passes), states


def weigh_kept(
    desk: Desk,
    kept: KeptCar,
    codes: Sequence[TroubleCode],
    before: Sequence[TroubleCode] = (),
    sequences: Sequence[int] = (),
    report: ProgressReport = silent,
) -> tuple[WeighedCodes, CodeStates | None]:
    """Codes weighed against passes of a car of a book; refusals as for `weigh_code_texts`.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose passes they are.
    codes, before : sequence of TroubleCode
        Now, and before clearing or repair.
    sequences : sequence of int
        Counts of the passes that the codes came with; with none the usual order of causes stands.

    Raises
    ------
    BookError
        There is no such pass.
    """
    _check_named(codes, before)
    chosen = chosen_passes(desk, kept, sequences)
    passes = []
    for count, one in enumerate(chosen):
        report(phrase("doing.reading", number=one.sequence), count / len(chosen))
        passes.append(named_pass(desk.reviewed(kept, one), one))
    return weigh_codes(codes, desk.car(kept), passes), compare_states(before, codes) if before else None


def weigh_in_book(
    place: Path | str,
    car_name: str,
    codes: Sequence[TroubleCode],
    before: Sequence[TroubleCode] = (),
    sequences: Sequence[int] = (),
    report: ProgressReport = silent,
) -> tuple[WeighedCodes, CodeStates | None]:
    """Codes weighed against passes of the book at a place; see `weigh_kept`."""
    desk = open_desk(place, is_kept=True)
    try:
        return weigh_kept(desk, desk.kept_car(car_name), codes, before, sequences, report)
    finally:
        desk.close()


def _check_named(codes: Sequence[TroubleCode], before: Sequence[TroubleCode]) -> None:
    if not codes and not before:
        raise NotEnoughData(phrase("refusal.jobs.no_code"), remedy=phrase("refusal.jobs.name_code"))
