"""Ten thousand damaged logs: is every one read or refused with one message, in time, in bounded memory?

Run from the root of the project: ``python -m design.log_damage [FIRST] [COUNT]``. It prints every fault with its seed,
the slowest files, and the growth of the greatest resident memory. The damage is that of `tests/log/damage.py`.
"""

import resource
import sys
import tempfile
import time
import warnings
from collections import Counter
from pathlib import Path

from tests.log.damage import damaged_file, place_database
from tests.log.pull import HINTS

from nextpass.errors import LogError
from nextpass.log import open_log

LIMIT_S = 5.0


def peak_mb() -> float:
    """Greatest resident memory of this process so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def outcome(path: Path) -> str:
    """``read``, ``refused``, or what else was raised."""
    try:
        log = open_log(path, HINTS)
        for channel in (*log.channels.values(), *log.unmatched.values()):
            if not (channel.time_s[1:] > channel.time_s[:-1]).all():
                return "times that do not rise"
    except LogError as refusal:
        return "refused" if "\n" not in str(refusal) else "a message of several lines"
    except Exception as fault:
        return f"{type(fault).__name__}: {fault}"
    return "read"


def main(first: int, count: int) -> None:
    """Open the files and print what came of them."""
    warnings.simplefilter("error")
    outcomes: Counter[str] = Counter()
    slowest: list[tuple[float, int, str]] = []
    damaged_file(0)
    start_mb, started = peak_mb(), time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        place_database(folder)
        for seed in range(first, first + count):
            file_name, data = damaged_file(seed)
            path = folder / f"{seed}-{file_name}"
            path.write_bytes(data)
            before = time.perf_counter()
            result = outcome(path)
            slowest.append((time.perf_counter() - before, seed, file_name))
            slowest = sorted(slowest, reverse=True)[:10]
            outcomes[result if result in {"read", "refused"} else "fault"] += 1
            if result not in {"read", "refused"}:
                print(f"seed {seed} ({file_name}): {result}")
            path.unlink()
    took = time.perf_counter() - started
    print(f"{count} files in {took:.0f} s: {dict(outcomes)}")
    print(f"greatest memory {peak_mb():.0f} MB, {peak_mb() - start_mb:.0f} MB more than before")
    for seconds, seed, file_name in slowest:
        print(f"{seconds:6.2f} s  seed {seed}  {file_name}{'  TOO SLOW' if seconds > LIMIT_S else ''}")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["0", "10000"][len(sys.argv) - 1 :])))
