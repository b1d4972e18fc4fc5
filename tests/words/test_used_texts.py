"""Every text that the card, the report and the pages ask for by name is there."""

import re
from pathlib import Path

import pytest

from nextpass.words import keys

SOURCE = Path(__file__).resolve().parents[2] / "src" / "nextpass"
ASKED = re.compile(r"""says\(\s*f?["']([a-z0-9_.\-]+)["']""")


@pytest.mark.parametrize("folder", ["report", "web"])
def test_every_text_that_is_asked_for_is_there(folder):
    asked = {
        name: path.name for path in (SOURCE / folder).rglob("*.py") for name in ASKED.findall(path.read_text("utf-8"))
    }
    assert asked
    assert {name: place for name, place in asked.items() if name not in keys("en")} == {}
