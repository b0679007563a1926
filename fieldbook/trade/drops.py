"""Drop lines: how old they are and when they are due."""


def drop_age_years(*, hung: int | None, season: int) -> int | None:
    """Seasons a drop has hung before this one, or None when its year is unknown.

    A drop hung for the season of 2024 is 3 years old when the season of 2027 comes.

    Args:
        hung: Season in which the drop was hung.
        season: Season asked about.
    """
    return None if hung is None else max(0, season - hung)


def drop_due(*, hung: int | None, season: int, cycle_years: int) -> bool:
    """Whether a drop is to be replaced this season.

    Replacing about every three years, one third a year, is what high-vacuum trials support
    (Perkins 2014, University of Vermont Proctor Maple Research Center). A drop of unknown age is
    treated as due: nobody can say that it is not.

    Args:
        hung: Season in which the drop was hung, or None if unknown.
        season: Season asked about.
        cycle_years: Age at which this book replaces drops.
    """
    age = drop_age_years(hung=hung, season=season)
    return age is None or age >= cycle_years
