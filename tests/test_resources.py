"""Templates and the demo season are found in a checkout and in a wheel alike."""

from pathlib import Path

import pytest

from fieldbook.resources import resource


def test_what_is_shipped_is_there() -> None:
    templates = {path.name for path in resource("templates").iterdir()}
    assert {"vacuum.toml", "gravity.toml", "buckets.toml"} <= templates
    assert {"lines.csv", "people.csv", "counts.csv", "targets.csv"} <= templates
    assert (resource("demo_season") / "book.toml").is_file()
    assert (resource("demo_season") / "INVENTED.txt").is_file()


@pytest.mark.parametrize("packed", [True, False])
def test_inside_the_package_comes_before_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, packed: bool
) -> None:
    package = tmp_path / "fieldbook"
    package.mkdir()
    (tmp_path / "templates").mkdir()
    if packed:
        (package / "templates").mkdir()
    monkeypatch.setattr("fieldbook.resources.__file__", str(package / "resources.py"))
    assert resource("templates") == (package if packed else tmp_path) / "templates"
