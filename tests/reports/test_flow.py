"""Parts put on pages: none torn, no head left behind, the heads of tables on each page."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from fieldbook.reports.render.flow import Head, Part, flow


def nothing(_top: float) -> None:
    """Draws nothing."""


def part(height: float = 10, **how: object) -> Part:
    return Part(height, nothing, **how)  # type: ignore[arg-type]


HEADS = Head(5, nothing)


def tops(parts: list[Part], room: float) -> list[list[tuple[float, bool]]]:
    """Where things are on each page, and whether each is a head that came again."""
    return [[(p.top, isinstance(p.what, Head)) for p in page] for page in flow(parts, room)]


def test_parts_stand_under_one_another() -> None:
    assert tops([part(), part(7), part()], 100) == [[(0, False), (10, False), (17, False)]]


def test_what_does_not_fit_goes_on_the_next_page_whole() -> None:
    assert tops([part(60), part(60), part(30)], 100) == [[(0, False)], [(0, False), (60, False)]]


def test_white_is_left_out_at_the_top_of_a_page() -> None:
    found = tops([part(60, space=5), part(30, space=5), part(30, space=5)], 100)
    assert found == [[(0, False), (65, False)], [(0, False)]]


def test_a_head_is_not_left_behind_nor_one_over_it() -> None:
    heads = [part(5, heads=True), part(5, heads=True)]
    assert tops([part(85), *heads, part(10)], 100)[1][0] == (0, False)
    assert len(tops([part(80), *heads, part(10)], 100)) == 1


def test_the_heads_of_a_table_come_again_on_each_page() -> None:
    rows = [part(10, table=1, over=(HEADS,)) for _n in range(20)]
    pages = tops(rows, 100)
    assert [page[0] for page in pages] == [(0, True)] * 3
    assert [page[1][0] for page in pages] == [5] * 3
    assert [sum(head for _top, head in page) for page in pages] == [1, 1, 1]


def test_a_second_table_has_heads_of_its_own() -> None:
    one, two = (part(10, table=n, over=(HEADS,)) for n in (1, 2))
    assert [head for _top, head in tops([one, one, two], 100)[0]] == [
        *(True, False, False, True, False),
    ]


parts = st.builds(
    Part,
    height=st.floats(1, 40),
    draw=st.just(nothing),
    heads=st.booleans(),
    table=st.none() | st.integers(1, 2),
    over=st.just(()) | st.just((HEADS,)),
    space=st.floats(0, 5),
)


@given(all_parts=st.lists(parts, max_size=30))
def test_all_parts_are_there_in_order_and_on_the_page(all_parts: list[Part]) -> None:
    pages = flow(all_parts, 300)
    placed = [[one for one in page if isinstance(one.what, Part)] for page in pages]
    assert [one.what for page in placed for one in page] == all_parts
    for page in pages:
        for before, after in pairwise(page):
            assert before.top + before.what.height <= after.top + 1e-9
        if len(page) > 1 and not all(isinstance(p.what, Part) and p.what.heads for p in page):
            assert page[-1].top + page[-1].what.height <= 300 + 1e-9
