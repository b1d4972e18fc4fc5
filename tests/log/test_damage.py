"""Every damaged file is read or refused with one message; anything else that is raised is a fault of ours.

Six hundred files run here; `design/log_damage.py` runs ten thousand and watches time and memory.
"""

import numpy as np
import pytest
from tests.log.damage import damaged_file, place_database
from tests.log.pull import HINTS

from nextpass.errors import LogError
from nextpass.log import LogHints, open_log

FILES = 600
BATCH = 60


def check_read_or_refused(path, seed):
    """Open the file and look at every channel of it."""
    try:
        log = open_log(path, HINTS if seed % 2 else LogHints())
    except LogError as refusal:
        message = str(refusal)
        assert message.startswith(str(path.parent))
        assert "\n" not in message
        assert len(message) < 1500
        return
    for channel in (*log.channels.values(), *log.unmatched.values()):
        assert channel.time_s.shape == channel.values.shape
        assert np.isfinite(channel.time_s).all()
        assert (np.diff(channel.time_s) > 0).all()
    assert all(isinstance(remark, str) for remark in log.quality.remarks)


@pytest.mark.parametrize("first", range(0, FILES, BATCH))
def test_damaged_files_are_read_or_refused(first, tmp_path):
    place_database(tmp_path)
    for seed in range(first, first + BATCH):
        name, data = damaged_file(seed)
        path = tmp_path / f"{seed}-{name}"
        path.write_bytes(data)
        check_read_or_refused(path, seed)
        path.unlink()
