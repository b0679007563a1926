"""Checklists: the three that come along, and what is wrong with one that cannot be used."""

from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from fieldbook.book.entry import Checklist
from fieldbook.season.checking import check_season
from fieldbook.season.checklist import (
    COUNTED_ONCE,
    load_template,
    parse_checklist,
    read_checklist,
    template_names,
    template_path,
)
from fieldbook.season.season import Season
from tests.conftest import NOW, refused, stamp

each_template = pytest.mark.parametrize("name", ["buckets", "gravity", "vacuum"])


def test_three_templates_come_along() -> None:
    assert template_names() == ["buckets", "gravity", "vacuum"]


@pytest.mark.parametrize(
    ("name", "title", "tasks"),
    [
        ("vacuum", "vacuum tubing", "drops tapping tensioning leaks pulling"),
        ("gravity", "gravity tubing", "drops tapping tensioning leaks pulling"),
        ("buckets", "buckets", "tapping hanging drips pulling"),
    ],
)
def test_a_template_has_the_seasons_tasks_in_order(name: str, title: str, tasks: str) -> None:
    read, rows = load_template(name)
    assert read == title
    assert [task.key for task in rows if task.on] == tasks.split()
    assert [task.key for task in rows if not task.on] == ["clearing", "washing"]


@each_template
def test_every_task_of_a_template_can_be_worked_from(name: str) -> None:
    _title, tasks = load_template(name)
    for task in tasks:
        month, day = map(int, task.wanted.split("-"))
        assert date(2027, month, day)  # a day there is, not only two numbers
        assert task.steps
        assert task.cautions
    counted = Counter(task.counts for task in tasks)
    assert all(counted[unit] <= 1 for unit in COUNTED_ONCE)


@each_template
def test_whoever_taps_is_told_to_look_up_first(name: str) -> None:
    # No work within two tree lengths of a hung-up or dead tree: 29 CFR 1910.266(h).
    _title, tasks = load_template(name)
    (tapping,) = (task for task in tasks if task.counts == "taps")
    assert any("two tree lengths" in caution for caution in tapping.cautions)


def test_a_template_there_is_not_names_those_there_are() -> None:
    message, hint, _code = refused(lambda: load_template("../vacuum"))
    assert message == "There is no checklist '../vacuum'."
    assert hint == "There are: buckets, gravity, vacuum."


# The numbers are the lines.
TWO = """\
name = "two jobs"

[[task]]
key = "tapping"
title = "Tapping"
short = "Tap"
counts = "taps"
planned = "taps planned"

[[task]]
key = "pulling"
title = "Pulling"
short = "Pull"
counts = "spouts"
planned = "spouts in trees"
after = "tapping"
"""


def test_a_checklist_of_the_crews_own(tmp_path: Path) -> None:
    path = tmp_path / "checklist.toml"
    path.write_text(TWO, encoding="utf-8-sig")  # as some editors save it
    title, (tapping, pulling) = read_checklist(path)
    assert title == "two jobs"
    assert (tapping.key, tapping.counts, tapping.on, tapping.steps) == ("tapping", "taps", True, ())
    assert (pulling.after, pulling.planned) == ("tapping", "spouts in trees")


@pytest.mark.parametrize(
    ("was", "now", "line", "why"),
    [
        ('name = "two jobs"', "", 1, "needs a name"),
        ('"two jobs"', "7", 1, "needs a name"),
        ('"two jobs"', '" "', 1, "needs a name"),
        ('"two jobs"\n', '"two jobs"\nauthor = "Oda"\n', 2, "unknown key 'author'"),
        ('title = "Tapping"', "title = Tapping", 5, "Invalid value"),
        ('title = "Tapping"', "title = 7", 5, "Expected `str`"),
        ('title = "Tapping"', 'title = ""', 5, "length >= 1"),
        ('title = "Tapping"\n', "", 3, "missing required field `title`"),
        ('title = "Tapping"', 'title = "Tapping"\ntitle = "Again"', 6, "Cannot overwrite"),
        ('key = "tapping"', 'key = "Tapping!"', 4, "matching regex"),
        ('short = "Pull"', 'short = "Pulling and washing"', 13, "length <= 12"),
        ('short = "Pull"', 'short = "Pull"\ncolour = "red"', 14, "unknown field `colour`"),
        ('short = "Pull"', 'short = "Pull"\non = "no"', 14, "Expected `bool`"),
        ('short = "Pull"', 'short = "Pull"\nsteps = "one"', 14, "Expected `array`"),
        ('short = "Pull"', 'short = "Pull"\nsteps = ["one", 2]', 14, "Expected `str`"),
        ('short = "Pull"', 'short = "Pull"\nwanted = "1 May"', 14, "matching regex"),
        ('planned = "taps planned"', 'planned = "by eye"', 8, "by eye"),
        ('key = "pulling"', 'key = "tapping"', 11, "two tasks have the key 'tapping'"),
        ('counts = "spouts"', 'counts = "taps"', 14, "two tasks count taps"),
        ('after = "tapping"', 'after = "taping"', 16, "'taping' is not a task above"),
        ('after = "tapping"', 'after = "pulling"', 16, "'pulling' is not a task above"),
        ('counts = "taps"', 'counts = "taps"\nafter = "pulling"', 8, "not a task above"),
        ('counts = "taps"', 'counts = "trees"', 15, "no task counts taps"),
        pytest.param(
            'short = "Pull"',
            'short = "Pull"\nwanted = "02-31"',
            14,
            "02-31",
        ),
        pytest.param(
            '[[task]]\nkey = "pulling"',
            '[[ task ]]\nkey = "tapping"',
            11,
            "two tasks have the key",
        ),
    ],
)
def test_a_fault_is_named_with_its_line(was: str, now: str, line: int, why: str) -> None:
    assert TWO.count(was) == 1
    text = TWO.replace(was, now)
    message, hint, _code = refused(lambda: parse_checklist(text, source="checklist.toml"))
    assert message.startswith(f"checklist.toml, line {line}: ")
    assert why in message
    assert "Nothing was changed" in hint


@pytest.mark.parametrize(
    "text", ['name = "none"\n', 'name = "none"\ntask = []\n', 'name="n"\ntask=1']
)
def test_a_checklist_without_tasks_is_refused(text: str) -> None:
    message, _hint, _code = refused(lambda: parse_checklist(text, source="checklist.toml"))
    assert message == "checklist.toml: the checklist has no [[task]]"


@pytest.mark.parametrize("data", [b"name = \xe9rable\n", None], ids=["not UTF-8", "not there"])
def test_a_file_that_cannot_be_read_is_named(tmp_path: Path, data: bytes | None) -> None:
    path = tmp_path / "checklist.toml"
    if data is not None:
        path.write_bytes(data)
    message, hint, _code = refused(lambda: read_checklist(path))
    assert message.startswith(f"Cannot read {path}: ")
    assert "UTF-8" in hint


def test_two_tasks_may_count_a_unit_of_the_crews_own() -> None:
    text = TWO.replace('"taps"', '"rows"').replace('"spouts"', '"rows"')
    text = text.replace("spouts in trees", "one a line")
    _title, tasks = parse_checklist(text, source="checklist.toml")
    assert [task.counts for task in tasks] == ["rows", "rows"]


@each_template
def test_a_template_is_the_file_the_crew_gets_to_edit(name: str) -> None:
    assert read_checklist(template_path(name)) == load_template(name)


# --- the crew's copy, beside the season's journals ---------------------------------------------


def test_the_crews_copy_of_the_checklist_is_told_when_it_differs(season: Season) -> None:
    copy = season.checklist_copy
    assert copy == season.book.path / "2027" / "checklist.toml"
    copy.write_text(copy.read_text("utf-8").replace("sharp, clean bit", "new bit"), "utf-8")
    (problem,) = check_season(season, NOW)
    assert problem.what == "the checklist file differs from the one in force"
    assert f"fieldbook import {copy}" in problem.advice
    assert not problem.grave

    title, tasks = parse_checklist(copy.read_text("utf-8"), source="checklist.toml")
    season.record(Checklist(checklist=title, tasks=tasks, **stamp()))
    assert check_season(season, NOW) == []


def test_a_blank_at_the_end_of_a_title_is_no_difference(season: Season) -> None:
    copy = season.checklist_copy
    assert copy is not None
    text = copy.read_text("utf-8").replace('title = "Tapping"', 'title = "Tapping "')
    copy.write_text(text, "utf-8")
    title, tasks = parse_checklist(text, source="checklist.toml")
    season.record(Checklist(checklist=title, tasks=tasks, **stamp()))
    assert check_season(season, NOW) == []


def test_a_copy_of_the_checklist_that_cannot_be_read_is_a_problem(season: Season) -> None:
    copy = season.checklist_copy
    assert copy is not None
    copy.write_text("name = x", "utf-8")
    (problem,) = check_season(season, NOW)
    assert (problem.where, problem.grave) == ("2027/checklist.toml", True)
    assert "line 1" in problem.what
    copy.unlink()
    assert season.checklist_copy is None
    assert check_season(season, NOW) == []
