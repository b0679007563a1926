"""`fieldbook leaks`, in every form; what it says is worked out in `reports/test_leaks`.

Quillby Hollow with Cliff and Cedar tapped, on two days with a pump of 25.5 inHg. Cliff hung 1.5
under it on Monday and 3.5 on Tuesday; Cedar was read on Monday, 1.0 under, and its valve tested;
Spring was tapped, and nobody read it.
"""

import json
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.scenarios import Shell, quillby
from tests.test_imports import loaded_by

READINGS = """\
at,block,line,place,pipe,vacuum_inhg,by
2027-02-08 07:00,,,pump,,25.5,Oda
2027-02-08 09:00,Ledge,Cliff,far,,24.0,Wim
2027-02-08 10:00,Ledge,Cedar,far,,24.5,Wim
2027-02-09 07:00,,,pump,,25.5,Oda
2027-02-09 09:00,Ledge,Cliff,far,,22.0,Wim
"""
COUNTS = """\
date,block,line,task,count,by
2027-02-01,Ledge,Cliff,tapping,42,Wim
2027-02-01,Ledge,Cedar,tapping,60,Wim
2027-02-01,Creek,Spring,tapping,35,Perrin
"""
FORMS = (
    "--format text",
    "--format json",
    *(f"--format csv --table {t}" for t in ("lines", "walk")),
)


@pytest.fixture
def book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Shell:
    shell = quillby(Shell(tmp_path, monkeypatch, capsys))
    assert shell.imports(counts=COUNTS, readings=READINGS).code == 0
    shell.does("record --block Ledge --line Cedar --not-heard --who Wim --date '8 Feb'")
    shell.does("record --block Ledge --line Cliff --leak '3rd lateral chewed' --who Wim")
    return shell


def told(book: Shell, options: str = "") -> dict[str, Any]:
    data: dict[str, Any] = json.loads(book.does(f"leaks --format json {options}"))
    return data


def lines(book: Shell, options: str = "") -> dict[str, dict[str, Any]]:
    return {line["line"]: line for line in told(book, options)["lines"]}


def printed(book: Shell, name: str = "quillby", forms: tuple[str, ...] = FORMS) -> list[str]:
    """The leaks of a book in every form."""
    return [book.does(f"leaks {form} --people 2 --book {name}") for form in forms]


def test_what_nobody_read_is_null_and_not_nothing(book: Shell) -> None:
    spring, cliff = lines(book)["Spring"], lines(book)["Cliff"]
    unknown = ("vacuum_inhg", "read", "pump_inhg", "lost_inhg", "loss", "slope_inhg_day")
    assert {spring[name] for name in unknown} == {None}
    assert (spring["taps"], spring["under_vacuum"], spring["gauges"]) == (35, 35, [])
    assert (cliff["vacuum_inhg"], cliff["lost_inhg"]) == (22.0, 3.5)
    assert cliff["loss"]["sap_gal"] == pytest.approx(42 * 0.5 * 0.05 * 3.5)
    assert told(book)["per_hour"] is None


def test_as_of_a_day_nothing_is_known_of_the_next(book: Shell) -> None:
    data = told(book, "--as-of 2027-02-08")
    cliff, _cedar = (line for line in data["lines"] if line["vacuum_inhg"] is not None)
    assert (cliff["line"], cliff["lost_inhg"]) == ("Cliff", 1.5)
    assert (data["as_of"], data["found"]) == ("2027-02-08", 0)


def test_against_the_pump_or_against_the_ceiling(book: Shell) -> None:
    """29.921 inHg at sea level (US Standard Atmosphere 1976)."""
    assert lines(book, "--below pump")["Cliff"]["lost_inhg"] == 3.5
    below = lines(book, "--below ceiling")["Cliff"]["lost_inhg"]
    assert below == pytest.approx(29.921 - 22, abs=0.001)
    text = book.does("leaks --below ceiling --format text")
    assert "0 of 2 lines read are within 1.0 inHg of the ceiling (0 %)" in text


def test_one_block_alone(book: Shell) -> None:
    assert set(lines(book, "--block ledge")) == {"Cliff", "Cedar"}
    assert "No block is called 'Volcano'" in book.asks("leaks --block Volcano").err


def test_people_and_hours_part_the_walk(book: Shell) -> None:
    walk = told(book, "--people 2 --hours 3")["walk"]
    assert (walk["people"], walk["hours"]) == (2, 3.0)
    title = "Which to walk: 2 people, 3 h each"
    assert title in book.does("leaks --people 2 --hours 3 --format text")
    none = told(book, "--hours 0")["walk"]
    assert (none["legs"], [leg["line"] for leg in none["later"]]) == ([], ["Cliff"])


def test_a_table_goes_out_as_it_is_asked_for(book: Shell) -> None:
    heads = {
        table: book.does(f"leaks --format csv --table {table}").splitlines()[0].split(",")[:3]
        for table in ("lines", "walk", "mends", "offenders", "days")
    }
    assert heads == {
        "lines": ["block", "line", "order"],
        "walk": ["person", "stop", "where"],
        "mends": ["where", "block", "line"],
        "offenders": ["by", "what", "block"],
        "days": ["block", "line", "day"],
    }
    assert book.does("leaks --format csv --table days").splitlines()[1:] == [
        "Ledge,Cliff,2027-02-08,24,25.5",
        "Ledge,Cliff,2027-02-09,22,25.5",
        "Ledge,Cedar,2027-02-08,24.5,25.5",
    ]
    answer = book.asks("leaks --format csv --table sap")
    assert (answer.code, answer.out) == (2, "")
    assert "It has: lines, walk, mends, offenders, days." in answer.err


def test_text_fits_80_columns_and_the_terminal_says_the_same(book: Shell) -> None:
    text = book.does("leaks --format text")
    assert max(map(len, text.splitlines())) <= 80
    assert "Lines that nobody has read: Creek 1." in text
    assert "\x1b" not in text
    words = " ".join(book.does("leaks").split())
    for row in text.splitlines():
        if row.startswith("  C"):  # Cliff, Cedar
            assert " ".join(row.split()) in words


def test_where_leaks_came_again_over_two_seasons(book: Shell) -> None:
    """One this season and, on the same lateral, another the next: two, and one of them now."""
    book.does("new quillby --season 2028")
    book.does("import lines.csv people.csv --season 2028")
    leak = "record --block Ledge --line Cliff --leak '3rd lateral, tee cracked' --who Wim"
    book.does(f"{leak} --season 2028 --date 2028-02-07")
    found = told(book, "--season 2028")["offenders"]
    assert [(x["by"], x["line"], x["what"], x["leaks"], x["this_season"]) for x in found] == [
        ("line", "Cliff", "", 2, 1),
        ("lateral", "Cliff", "3", 2, 1),
        ("cause", "", "chewed", 1, 0),
        ("cause", "", "fitting", 1, 1),
    ]
    assert found[0]["seasons"] == [2027, 2028]
    assert [x["leaks"] for x in told(book, "--season 2027")["offenders"]] == [1]


# --- the same everywhere -----------------------------------------------------------------------


@pytest.fixture
def anywhere(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, str], None]]:
    """Set the zone and the language of the machine."""

    def there(zone: str, language: str) -> None:
        monkeypatch.setenv("TZ", zone)
        monkeypatch.setenv("LC_ALL", language)
        time.tzset()

    yield there
    monkeypatch.undo()
    time.tzset()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be set on this system")
def test_zone_and_language_change_no_byte(
    book: Shell, anywhere: Callable[[str, str], None]
) -> None:
    def all_of_it() -> list[object]:
        book.does("leaks --out walk.pdf")
        return [*printed(book), (book.folder / "walk.pdf").read_bytes()]

    before = all_of_it()
    for zone, language in (("Pacific/Auckland", "de_DE.UTF-8"), ("America/St_Johns", "C")):
        anywhere(zone, language)
        assert all_of_it() == before, zone


def test_in_whatever_order_two_desks_are_merged_the_leaks_are_the_same(book: Shell) -> None:
    """Oda reads the pump again at noon; Wim, on a stick, reads Cliff and tests Cedar's valve."""
    for name in ("stick", "third", "fourth"):
        shutil.copytree(book.folder / "quillby", book.folder / name)
    book.does("record --reading 'pump 25' --at 12:00 --who Oda --book quillby")
    for said in ("Cliff --reading 'head 24.8, far 21.5' --at 12:10", "Cedar --heard --at 12:30"):
        book.does(f"record --block Ledge --line {said} --who Wim --by Wim --book stick")
    for come, into in (
        *(("stick", "third"), ("quillby", "third"), ("quillby", "fourth"), ("stick", "fourth")),
        *(("stick", "quillby"), ("quillby", "stick")),
    ):
        book.does(f"merge {come} --book {into}")
    here = printed(book)
    assert "21.5" in here[0]
    assert "air heard" in here[0]
    for name in ("stick", "third", "fourth"):
        assert printed(book, name) == here, name


def test_a_summary_without_a_reading_loads_nothing_of_the_leaks(book: Shell) -> None:
    book.does("new bare --season 2027")
    asked = "['summary', '--as-of', '2027-02-09', '--format', 'text', '--book', {!r}]"
    script = f"from fieldbook.cli import main\nassert main({asked}) == 0"
    held = {
        name: loaded_by(script.format(str(book.folder / name)), book.folder)
        for name in ("bare", "quillby")
    }
    assert "fieldbook.reports.leaks" in held["quillby"]
    assert not {name for name in held["bare"] if name.startswith("fieldbook.reports.leak")}
