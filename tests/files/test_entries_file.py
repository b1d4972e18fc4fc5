"""The ledger file: read strictly, faults with their line and what to write."""

import pytest

from nextpass.errors import PassFileError
from nextpass.files import read_entries

SOUND = """
[[entry]]
when = 2026-05-02T10:00:00
kind = "relearn"
item = "clutch"
log = "relearn.csv"
notes = "box at 70 °C"
[entry.values]
bite_point_a_mm = 11.9
tool = "the car's own screen"

[[entry]]
when = 2026-04-01T10:00:00
kind = "service"
item = "gearbox oil"
due_launches = 40
due_days = 365
"""


def test_entries_come_out_oldest_first(write):
    service, relearn = read_entries(write("ledger.toml", SOUND))
    assert (service.item, service.due_launches, service.due_days) == ("gearbox oil", 40.0, 365.0)
    assert dict(relearn.values) == {"bite_point_a_mm": 11.9, "tool": "the car's own screen"}
    assert relearn.log is not None
    assert relearn.log.name == "relearn.csv"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            ('kind = "service"', 'kind = "servise"'),
            'ledger.toml:14: entry #2.kind: "servise" is text, not one of service, part, reset, relearn, learned,'
            ' codes, note; did you mean "service"?',
        ),
        (
            ('item = "gearbox oil"', 'itme = "gearbox oil"'),
            "ledger.toml:15: entry #2.itme is not a key of [entry #2]; did you mean item?",
        ),
        (
            ("bite_point_a_mm = 11.9", "bite_point_a_mm = true"),
            "ledger.toml:9: entry #1.values.bite_point_a_mm: true is a switch value, neither a number nor a text;"
            " write one of them",
        ),
        (
            ("due_launches = 40", "due_launches = 0"),
            "ledger.toml:16: entry #2.due_launches: 0 is outside 1 to 100000 (launches of one car);"
            " write a value from 1 to 100000",
        ),
        (
            ("when = 2026-04-01T10:00:00", "when = 2026-04-01T10:00:00Z"),
            "ledger.toml:2: entry: some times have a zone and some have none; write them alike",
        ),
    ],
)
def test_a_fault_is_told_with_its_line(write, change, message):
    with pytest.raises(PassFileError) as refusal:
        read_entries(write("ledger.toml", SOUND.replace(*change)))
    assert str(refusal.value) == message


def test_a_file_without_entries_is_refused(write):
    with pytest.raises(PassFileError) as refusal:
        read_entries(write("ledger.toml", "entry = 3\n"))
    assert str(refusal.value) == (
        "ledger.toml:1: entry: holds no entries; write a [[entry]] for each thing that was done"
    )
