"""A bundle comes from a stranger: whatever is wrong with it is refused before anything of it is believed."""

import hashlib
import json
import zipfile

import pytest

from nextpass.book import NamedFile, opened_bundle, write_bundle
from nextpass.errors import BundleError

FILES = (
    NamedFile(name="car/car.toml", content=b"[car]\n"),
    NamedFile(name="car/pass-001/log.csv", content=b"t,v\n" * 99),
)


@pytest.fixture
def bundle(tmp_path):
    return write_bundle(tmp_path / "season.nextpass", iter(FILES), ["the driver's notes"])


def test_a_bundle_gives_back_what_was_put_in(bundle):
    with opened_bundle(bundle) as opened:
        assert {name: opened.read(name) for name in opened.listed} == {file.name: file.content for file in FILES}
        assert opened.left_out == ("the driver's notes",)


def test_a_bundle_is_not_written_over_another_file(bundle):
    with pytest.raises(BundleError) as refusal:
        write_bundle(bundle, iter(FILES))
    assert str(refusal.value) == f"{bundle}: is there already; give another name"


def forged(bundle, files=None, manifest=None, extra=()):
    """The same bundle with other files, another manifest, or files besides."""
    with zipfile.ZipFile(bundle) as packed:
        said = json.loads(packed.read("manifest.json"))
        content = {name: packed.read(name) for name in packed.namelist() if name != "manifest.json"}
    content |= files or {}
    said |= manifest or {}
    with zipfile.ZipFile(bundle, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, inside in content.items():
            packed.writestr(name, inside)
        for name, inside in extra:
            packed.writestr(name, inside)
        packed.writestr("manifest.json", json.dumps(said))
    return bundle


def listed(name, content, size=None):
    return {"path": name, "size": len(content) if size is None else size, "sha256": hashlib.sha256(content).hexdigest()}


ALL = [listed(file.name, file.content) for file in FILES]
CASES = {
    "another byte": ({"files": {"car/car.toml": b"[cat]\n"}}, "'car/car.toml' is damaged; ask for it again"),
    "another length": (
        {"files": {"car/car.toml": b"[car]\n\n"}},
        "'car/car.toml' has another size than its manifest says; ask for it again",
    ),
    "a file besides": (
        {"extra": [("car/more.toml", b"")]},
        "holds other files than its manifest says; ask for it again",
    ),
    "a newer version": ({"manifest": {"version": 2}}, "a newer nextpass made this bundle; update nextpass"),
    "another kind": (
        {"manifest": {"kind": "holiday pictures"}},
        "is no bundle: its manifest is of another kind; give a file that nextpass wrote",
    ),
    "a way out": (
        {"files": {"../../etc/cron": b"x"}, "manifest": {"files": [*ALL, listed("../../etc/cron", b"x")]}},
        "the path '../../etc/cron' leads out of it; do not trust this file",
    ),
    "an absolute way": (
        {"files": {"/etc/cron": b"x"}, "manifest": {"files": [*ALL, listed("/etc/cron", b"x")]}},
        "the path '/etc/cron' leads out of it; do not trust this file",
    ),
    "a drive": (
        {"files": {"c:/x": b"x"}, "manifest": {"files": [*ALL, listed("c:/x", b"x")]}},
        "the path 'c:/x' leads out of it; do not trust this file",
    ),
    "two of a name": (
        {"files": {"car/CAR.toml": b"x"}, "manifest": {"files": [*ALL, listed("car/CAR.toml", b"x")]}},
        "holds two files of the same name; ask for it again",
    ),
    "more than it says": (
        {"files": {"bomb": bytes(2_000_000)}, "manifest": {"files": [*ALL, listed("bomb", b"", size=9)]}},
        "'bomb' has another size than its manifest says; ask for it again",
    ),
    "too large in sum": (
        {
            "files": {f"bomb{number}": b"" for number in range(9)},
            "manifest": {"files": [*ALL, *(listed(f"bomb{number}", b"", size=999_999_999) for number in range(9))]},
        },
        "unpacks to more than 8 GB; ask for fewer passes at once",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_forged_bundle_is_refused(bundle, case):
    changes, message = CASES[case]
    with pytest.raises(BundleError) as refusal, opened_bundle(forged(bundle, **changes)):
        pass
    assert str(refusal.value) == f"{bundle}: {message}"


@pytest.mark.parametrize("cut", [0, 10, -1, -30, -200])
def test_a_bundle_that_was_cut_off_is_refused(bundle, cut):
    whole = bundle.read_bytes()
    bundle.write_bytes(whole[:cut] if cut else b"")
    with pytest.raises(BundleError), opened_bundle(bundle):
        pass


def test_every_flipped_byte_is_noticed_or_harmless(bundle):
    """Either the bundle is refused, or what it gives is what was put in: a name in the zip's own notes may differ."""
    whole = bundle.read_bytes()
    refused = 0
    for place in range(0, len(whole), 7):
        bundle.write_bytes(whole[:place] + bytes([whole[place] ^ 0x5A]) + whole[place + 1 :])
        try:
            with opened_bundle(bundle) as opened:
                assert {name: opened.read(name) for name in opened.listed} == {one.name: one.content for one in FILES}
        except BundleError:
            refused += 1
    assert refused > 0.5 * len(whole) / 7
