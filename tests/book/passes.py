"""Small passes for the book's tests: folders with a pass file to the letter and a log that no other pass has."""

from pathlib import Path

from nextpass.book import PassContent, pass_content

TOML = '[pass]\nnumber = {number}\n{more}log = "log.csv"  # the driver\'s own hand: ü\n\n[setup]\nfuel = "E60"\n'


def pass_folder(place: Path, number: int, more: str = "", log: bytes | None = None, newline: str = "\n") -> Path:
    folder = place / f"pass{number}"
    folder.mkdir(parents=True, exist_ok=True)
    toml = TOML.format(number=number, more=more).replace("\n", newline)
    (folder / "pass.toml").write_bytes(toml.encode())
    (folder / "log.csv").write_bytes(b"Time (s),RPM\n0,%d\n" % (850 + number) if log is None else log)
    return folder


def small_pass(place: Path, number: int, more: str = "", log: bytes | None = None) -> PassContent:
    return pass_content(pass_folder(place, number, more, log))
