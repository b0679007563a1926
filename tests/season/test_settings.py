"""The rules of a book: their defaults, and what a person may set them to."""

from math import pi, sqrt

import pytest

from fieldbook.season.settings import BY_NAME, ITEMS, RULES, Value, read_setting
from fieldbook.trade import sources
from tests.conftest import refused


@pytest.mark.parametrize(
    ("name", "default", "source"),
    [
        ("season_begins", "2026-09-01", "common practice, no source"),
        ("season_ends", "2027-08-31", "common practice, no source"),
        ("workdays", "MO,TU,WE,TH,FR,SA", "the crew's own"),
        ("days_off", "none", "the crew's own"),
        ("drop_cycle_years", 3, "Perkins 2014; UVM: drops every 3 years or so"),
        ("tie_spacing_ft", 35.0, "30-40 ft: common practice, no source"),
        ("tap_rule", "conservative", "North American Maple Syrup Producers Manual, recommended"),
        ("hole_depth_in", 1.5, "van den Berg et al., Tapping practices to maximize yields"),
        ("drop_length_in", 30.0, "Perkins 2014; UVM: 30-36 in"),
        ("stain_factor", 50.0, "50 for sugar maple, from memory"),
        ("clean_wood_pct", 90.0, "van den Berg & Perkins"),
        ("holes_per_bit", 2500, "UVM: sharpen or change the bit after about 2,500 holes"),
        ("peak_gph_per_tap", 0.5, "0.2 gal an hour and tap measured once; 0.2-0.5 as design"),
        ("pump_vacuum_inhg", 25.0, "high vacuum means 25 inHg or better"),
        ("vacuum_loss_inhg", 1.0, "pump to taphole at most 1 inHg apart (Leduc 2019)"),
        ("cfm_per_100_taps", 1.0, "1 CFM for 100 taps (UVM, OSU, Cornell)"),
        ("sap_pct_per_inhg", 5.0, "about 5 % more sap for each inHg"),
        ("rate_taps", 45.0, "from memory"),
    ],
)
def test_a_default_of_season_2027_and_where_it_comes_from(
    name: str, default: Value, source: str
) -> None:
    rule = BY_NAME[name]
    assert rule.default_for(2027) == default
    assert rule.source.startswith(source)


def test_healthy_trees_grow_as_fast_as_the_default_says() -> None:
    # Basal area gained a year: 1.8 in2 at 10 in and 3.5 at 18 (van den Berg et al. 2016, Forest
    # Science 62). The new DBH is sqrt(DBH^2 + 4 BAI / pi): 0.114 and 0.123 in more.
    growth = [sqrt(dbh**2 + 4 * bai / pi) - dbh for dbh, bai in ((10, 1.8), (18, 3.5))]
    assert growth[0] <= float(BY_NAME["growth_dbh_in"].default_for(2027)) <= growth[1]


@pytest.mark.parametrize("name", BY_NAME)
def test_every_default_can_be_typed_and_says_what_it_means_and_whence(name: str) -> None:
    rule = BY_NAME[name]
    default = rule.default_for(2027)
    read = read_setting(name, str(default))
    assert (read, type(read)) == (default, type(default))
    assert rule.about.endswith(".")
    written = [text for text in vars(sources).values() if isinstance(text, str)]
    assert any(rule.source.endswith(text) for text in written)


NUMBERS = [r.name for r in RULES if isinstance(r.default_for(2027), int | float)]


@pytest.mark.parametrize("name", NUMBERS)
@pytest.mark.parametrize("typed", ["", "many", "nan", "inf", "-inf", "-1e9", "1e9", "9" * 5000])
def test_a_number_that_is_none_or_beyond_all_reason_will_not_do(name: str, typed: str) -> None:
    message, hint, _code = refused(lambda: read_setting(name, typed))
    assert message.endswith(f" will not do for {name}.")
    assert hint.startswith(("Write a number from", "Write a whole number from"))


def test_each_thing_to_buy_has_a_price() -> None:
    assert ITEMS == ("roll", "spout", "tee", "side_tie", "wire_tie", "bit")


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("season_begins", " 2026-10-15 ", "2026-10-15"),
        ("season_ends", "2028-02-29", "2028-02-29"),
        ("season_begins", "1900-01-01", "1900-01-01"),  # years of our times: book.layout.YEARS
        ("season_ends", "2999-12-31", "2999-12-31"),
        ("workdays", "mo, we,fr", "MO,WE,FR"),
        ("workdays", "SU FR MO MO", "MO,FR,SU"),
        ("drop_cycle_years", "1", 1),
        ("drop_cycle_years", " 50 ", 50),
        ("tie_spacing_ft", "40", 40.0),
        ("tie_spacing_ft", "32.5", 32.5),
        ("tie_spacing_ft", "1", 1.0),
        ("tie_spacing_ft", "1000", 1000.0),
        ("days_off", "", "none"),
        ("days_off", "None", "none"),
        ("days_off", "2027-02-10, 2026-12-25 2027-02-10", "2026-12-25,2027-02-10"),
        ("tap_rule", "  our  table ", "our table"),
        ("tap_rule", "x" * 80, "x" * 80),
        ("own_first_in", "1", 1.0),
        ("own_first_in", "60", 60.0),
        ("own_step_in", "0.1", 0.1),
        ("own_step_in", "60", 60.0),
        ("own_most_taps", "1", 1),
        ("own_most_taps", "10", 10),
        ("pump_vacuum_inhg", "29.8", 29.8),
        ("elevation_ft", "-1000", -1000.0),
        ("lost_days_pct", "90", 90.0),
        ("loss_pct_by_age", "0, 5 10.50", "0,5,10.5"),
        ("loss_pct_by_age", "100", "100"),
        ("loss_pct_by_age", ",".join(["7"] * 50), ",".join(["7"] * 50)),
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
        ("season_begins", "1899-12-31", "a date such as 2027-02-09"),
        ("season_begins", "0001-01-01", "a date such as 2027-02-09"),
        ("season_ends", "3000-01-01", "a date such as 2027-02-09"),
        ("season_ends", "9999-12-31", "a date such as 2027-02-09"),
        ("days_off", "2027-02-09,0027-02-10", "a date such as 2027-02-09"),
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
        ("days_off", "Christmas", "a date such as 2027-02-09"),
        ("days_off", "2027-02-09,2027-02-30", "a date such as 2027-02-09"),
        ("tap_rule", " ", "a name of 1 to 80 characters"),
        ("tap_rule", "x" * 81, "a name of 1 to 80 characters"),
        ("own_first_in", "0.9", "a number from 1 to 60"),
        ("own_first_in", "60.1", "a number from 1 to 60"),
        ("own_step_in", "0", "a number from 0.1 to 60"),
        ("own_most_taps", "0", "a whole number from 1 to 10"),
        ("own_most_taps", "11", "a whole number from 1 to 10"),
        ("pump_vacuum_inhg", "30", "a number from 1 to 29.8"),
        ("elevation_ft", "-1001", "a number from -1000 to 15000"),
        ("lost_days_pct", "90.1", "a number from 0 to 90"),
        ("loss_pct_by_age", "", "percentages parted by commas"),
        ("loss_pct_by_age", ",".join(["7"] * 51), "percentages parted by commas"),
        ("loss_pct_by_age", "0,101", "a number from 0 to 100"),
        ("loss_pct_by_age", "0,-1", "a number from 0 to 100"),
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
