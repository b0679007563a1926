"""A tally of trees as it is typed, and what size its trees are in inches."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldbook.book.entry import TreeCount
from fieldbook.season.tally import FORM, check_tally, dbh_in, read_tally, tally_words
from tests.conftest import refused

INCHES = (TreeCount(dbh_in=12, count=40), TreeCount(dbh_in=14.5, count=31))


@pytest.mark.parametrize(
    ("typed", "classes"),
    [
        ("12:40 14.5:31", INCHES),
        ("12x40, 14.50x31", INCHES),
        ("12 in = 40; 14.5IN: 31", INCHES),
        ("  12:40\n14.5:31\n", INCHES),
        ("12:0 14:1", (TreeCount(dbh_in=12, count=0), TreeCount(dbh_in=14, count=1))),
        ("30cm:12 38g:4", (TreeCount(dbh_cm=30, count=12), TreeCount(girth_in=38, count=4))),
        # As wide, but taken otherwise: 30.48 cm is 12 in.
        ("12:1 30.48cm:2", (TreeCount(dbh_in=12, count=1), TreeCount(dbh_cm=30.48, count=2))),
        (
            "60:1 188g:1 152cm:999999",  # the thickest that are believed
            (
                TreeCount(dbh_in=60, count=1),
                TreeCount(girth_in=188, count=1),
                TreeCount(dbh_cm=152, count=999_999),
            ),
        ),
    ],
)
def test_a_tally_as_people_type_it(typed: str, classes: tuple[TreeCount, ...]) -> None:
    assert read_tally(typed) == classes


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("", ""),
        ("  ", ""),
        ("forty", "forty"),
        ("12", "12"),
        ("12:", "12:"),
        (":40", ":40"),
        ("12:-4", "12:-4"),
        ("12:40.5", ".5"),
        ("12:40 and 14:31", "and"),
        ("1234:5", "1"),
        ("12.125:5", "12."),
        ("12,5:40", "12"),  # a decimal comma could as well part two sizes
        ("12mm:40", "12mm:40"),
        ("12:4014:31", ":31"),
        ("12:1234567", "7"),
        ("12:0", ""),  # no tree at all is no tally
        ("12:40 14:31 12.0:2", "12:2"),  # the same size twice
        ("30cm:40 30cm:40", "30cm:40"),
    ],
)
def test_what_is_no_tally_names_the_word(typed: str, word: str) -> None:
    message, hint, _code = refused(lambda: read_tally(typed))
    assert message == f"{word!r} does not say a size and how many trees."
    assert FORM in hint


@pytest.mark.parametrize("size", ["0 in", "60.01 in", "188.01 g", "0.00 cm", "152.01 cm"])
def test_no_maple_is_that_thick(size: str) -> None:
    message, hint, _code = refused(lambda: read_tally(f"12:40 {size}:4"))
    assert message == f"No maple is {size.replace('g', 'in around')} thick."
    assert hint == "Diameters are written 12:40 or 30cm:12, girths in inches 38g:4."


def test_sizes_without_a_unit_are_as_the_reader_likes() -> None:
    mixed = (TreeCount(dbh_cm=30, count=12), *INCHES, TreeCount(girth_in=38, count=4))
    assert read_tally("30:12 12in:40 14.5in:31 38g:4", unit="cm") == mixed
    assert tally_words(mixed, unit="cm") == "30:12 12in:40 14.5in:31 38g:4"
    assert tally_words(mixed) == "30cm:12 12:40 14.5:31 38g:4"


@pytest.mark.parametrize(
    ("classes", "word"),
    [
        ((), ""),
        ((TreeCount(count=4),), "0:4"),  # of no size
        ((TreeCount(dbh_in=12, count=0),), ""),  # of no tree
        ((TreeCount(dbh_in=12, girth_in=38, count=4),), "12:4"),  # of two sizes
        ((TreeCount(girth_in=38, dbh_cm=30, count=4),), "38g:4"),
        ((*INCHES, TreeCount(dbh_in=14.5, count=2)), "14.5:2"),  # twice
    ],
)
def test_what_another_hand_made_is_checked_too(classes: tuple[TreeCount, ...], word: str) -> None:
    message, _hint, _code = refused(lambda: check_tally(classes))
    assert message == f"{word!r} does not say a size and how many trees."


def test_a_sound_tally_passes() -> None:
    check_tally((*INCHES, TreeCount(dbh_cm=30.48, count=2)))


COUNTS = st.integers(0, 999_999)


def hundredths(most: int) -> st.SearchStrategy[float]:
    return st.integers(1, most * 100).map(lambda size: size / 100)


TALLIES = st.lists(
    st.builds(TreeCount, dbh_in=hundredths(60), count=COUNTS)
    | st.builds(TreeCount, girth_in=hundredths(188), count=COUNTS)
    | st.builds(TreeCount, dbh_cm=hundredths(152), count=COUNTS),
    min_size=1,
    unique_by=lambda trees: (trees.dbh_in, trees.girth_in, trees.dbh_cm),
).map(tuple)


@given(TALLIES.filter(lambda classes: any(x.count for x in classes)), st.sampled_from(["in", "cm"]))
def test_a_tally_in_words_is_read_as_the_same_tally(
    classes: tuple[TreeCount, ...], unit: str
) -> None:
    assert read_tally(tally_words(classes, unit=unit), unit=unit) == classes


@pytest.mark.parametrize(
    ("trees", "inches"),
    [
        (TreeCount(dbh_in=12.5, count=1), 12.5),
        # Girth over pi, by arithmetic: 31.42 in around is 10.00 in across, 78.54 is 25.00.
        (TreeCount(girth_in=31.42, count=1), 10.00),
        (TreeCount(girth_in=78.54, count=1), 25.00),
        (TreeCount(dbh_cm=30.48, count=1), 12.0),  # 2.54 cm an inch (NIST SP 811)
        (TreeCount(count=1), 0.0),  # nobody can record it, but a merged line may say so
    ],
)
def test_the_size_of_trees_in_inches(trees: TreeCount, inches: float) -> None:
    assert dbh_in(trees) == pytest.approx(inches, abs=0.005)
