"""Sap and syrup of a day as they are typed, in gallons or litres."""

import pytest

from fieldbook.errors import BookError
from fieldbook.season.runs import read_run


@pytest.mark.parametrize(
    ("typed", "sap", "brix", "syrup"),
    [
        ("2400 2.1 58", 2400, 2.1, 58),
        ("2400 2,1 58,5", 2400, 2.1, 58.5),  # the comma of a metric keyboard
        ("2,400 2.1", 2400, 2.1, None),
        ("1,002,400.5", 1_002_400.5, None, None),
        ("2400,5", 2400.5, None, None),
        ("- 2.1", None, 2.1, None),
        ("- - 58", None, None, 58),
        ("0", 0, None, None),  # gathered, and none was there: a zero is not a blank
    ],
)
def test_three_numbers_at_most(
    typed: str, sap: float | None, brix: float | None, syrup: float | None
) -> None:
    told = read_run(typed, "us")
    assert (told.get("sap_gal"), told.get("brix"), told.get("syrup_gal")) == (sap, brix, syrup)
    litres = read_run(typed, "metric")
    assert (litres.get("sap_l"), litres.get("brix"), litres.get("syrup_l")) == (sap, brix, syrup)


@pytest.mark.parametrize("typed", ["", "much", "1 2 3 4", "-5", "4000001", "nan", "inf", "1,2,3"])
def test_what_says_no_run_is_refused(typed: str) -> None:
    with pytest.raises(BookError, match="does not say what a run brought") as refused:
        read_run(typed, "us")
    assert "2400 2.1 58" in refused.value.hint


@pytest.mark.parametrize("brix", ["0", "100.1"])
def test_no_sap_is_that_sweet(brix: str) -> None:
    with pytest.raises(BookError, match="Brix is no sweetness of sap"):
        read_run(f"2400 {brix}", "us")
