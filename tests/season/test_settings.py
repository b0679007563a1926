"""The rules of a book: their defaults, and what a person may set them to."""

import pytest

from fieldbook.season.settings import BY_NAME, RULES, Value, read_setting
from tests.conftest import refused


def test_the_defaults_of_season_2027() -> None:
    assert {rule.name: rule.default(2027) for rule in RULES} == {
        "season_begins": "2026-09-01",  # common practice, no source
        "season_ends": "2027-08-31",  # common practice, no source
        "workdays": "MO,TU,WE,TH,FR,SA",
        "drop_cycle_years": 3,  # about every 3 years: Perkins 2014 (UVM)
        "tie_spacing_ft": 35.0,  # 30-40 ft: common practice, no source
    }


@pytest.mark.parametrize("name", BY_NAME)
def test_a_default_can_be_typed_and_says_where_it_comes_from(name: str) -> None:
    rule = BY_NAME[name]
    assert read_setting(name, str(rule.default(2027))) == rule.default(2027)
    assert any(word in rule.about for word in ("no source", "RFC 5545", "Perkins 2014"))


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("season_begins", " 2026-10-15 ", "2026-10-15"),
        ("season_ends", "2028-02-29", "2028-02-29"),
        ("workdays", "mo, we,fr", "MO,WE,FR"),
        ("workdays", "SU FR MO MO", "MO,FR,SU"),
        ("drop_cycle_years", "1", 1),
        ("drop_cycle_years", " 50 ", 50),
        ("tie_spacing_ft", "40", 40.0),
        ("tie_spacing_ft", "32.5", 32.5),
        ("tie_spacing_ft", "1", 1.0),
        ("tie_spacing_ft", "1000", 1000.0),
    ],
)
def test_a_value_that_will_do(name: str, typed: str, value: Value) -> None:
    read = read_setting(name, typed)
    assert (read, type(read)) == (value, type(value))


@pytest.mark.parametrize(
    ("name", "typed", "form"),
    [
        ("season_begins", "1 Oct", "a date such as 2027-02-09"),
        ("season_ends", "2027-02-29", "a date such as 2027-02-09"),
        ("workdays", "", "days of the week such as MO"),
        ("workdays", ",", "days of the week such as MO"),
        ("workdays", "Mon,Tue", "days of the week such as MO"),
        ("workdays", "MO,XX", "days of the week such as MO"),
        ("drop_cycle_years", "0", "a whole number from 1 to 50"),
        ("drop_cycle_years", "51", "a whole number from 1 to 50"),
        ("drop_cycle_years", "3.0", "a whole number from 1 to 50"),
        ("drop_cycle_years", "-3", "a whole number from 1 to 50"),
        ("drop_cycle_years", "three", "a whole number from 1 to 50"),
        ("tie_spacing_ft", "0", "a number from 1 to 1000"),
        ("tie_spacing_ft", "1000.1", "a number from 1 to 1000"),
        ("tie_spacing_ft", "nan", "a number from 1 to 1000"),
        ("tie_spacing_ft", "inf", "a number from 1 to 1000"),
        ("tie_spacing_ft", "35 ft", "a number from 1 to 1000"),
    ],
)
def test_a_value_that_will_not_do(name: str, typed: str, form: str) -> None:
    message, hint, _code = refused(lambda: read_setting(name, typed))
    assert message == f"{typed!r} will not do for {name}."
    assert hint.startswith(f"Write {form}")


def test_a_setting_there_is_not_names_those_there_are() -> None:
    message, hint, _code = refused(lambda: read_setting("tie_spacing_m", "10"))
    assert message == "There is no setting 'tie_spacing_m'."
    assert all(name in hint for name in BY_NAME)
