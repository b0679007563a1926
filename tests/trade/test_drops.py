"""Drops due. About every three years: Perkins 2014 (UVM Proctor Maple Research Center)."""

import pytest

from fieldbook.trade.drops import drop_age_years, drop_due


@pytest.mark.parametrize(
    ("hung", "age", "due"),
    [
        (2028, 0, False),  # a slip of the finger in the year makes a drop new, not minus one
        (2027, 0, False),
        (2026, 1, False),
        (2025, 2, False),
        (2024, 3, True),
        (2023, 4, True),
        (1998, 29, True),
        (None, None, True),  # nobody can say that it is not
    ],
)
def test_a_three_year_cycle_in_the_season_of_2027(
    hung: int | None, age: int | None, due: bool
) -> None:
    assert drop_age_years(hung=hung, season=2027) == age
    assert drop_due(hung=hung, season=2027, cycle_years=3) is due


@pytest.mark.parametrize(("cycle_years", "due"), [(1, True), (2, True), (3, False)])
def test_the_crew_sets_its_own_cycle(cycle_years: int, due: bool) -> None:
    assert drop_due(hung=2025, season=2027, cycle_years=cycle_years) is due


def test_one_third_a_year_comes_round_in_three_years() -> None:
    # Perkins 2014: one third of the drops a year. Ninety drops hung in thirds, each replaced
    # when it is due: every season brings thirty.
    hung = [2024] * 30 + [2025] * 30 + [2026] * 30
    for season in range(2027, 2034):
        due = [drop_due(hung=year, season=season, cycle_years=3) for year in hung]
        assert sum(due) == 30
        hung = [season if is_due else year for year, is_due in zip(hung, due, strict=True)]
