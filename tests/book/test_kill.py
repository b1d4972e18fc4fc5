"""A program that is killed leaves a book that opens, with every acknowledged pass whole and none half there."""

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.xdist_group("book")


def test_kills_during_import_plan_recheck_and_bundle(tmp_path):
    """Twenty-four kills here; `benchmarks/book.py` makes five hundred by the same program."""
    words = [sys.executable, str(Path(__file__).parent / "kills.py"), str(tmp_path), "24"]
    done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=900)
    assert done.returncode == 0, done.stderr
    at_work, acknowledged = map(int, done.stdout.split())
    # A kill that comes after the work is done tests nothing, nor does one before anything was acknowledged.
    assert at_work >= 5
    assert acknowledged > 0
