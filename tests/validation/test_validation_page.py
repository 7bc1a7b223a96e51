"""The page of checks is whole and honest, and so are the cases behind it."""

import re

import hard_to_break
import pytest
from cases import all_cases, half_digit, printed
from page import figures, page


@pytest.fixture(scope="module")
def text() -> str:
    return page()


def test_all_that_was_tried_to_break_it_held():
    rows = hard_to_break.rows()
    assert [row.what for row in rows if row.held != row.tried] == []
    assert sum(row.tried for row in rows) >= 1000


def test_there_are_enough_checks_from_print():
    cases = all_cases()
    assert sum(case.read is True for case in cases) >= 80
    assert len({case.source for case in cases}) >= 20


def test_no_check_stands_twice():
    names = [(case.source, case.name) for case in all_cases()]
    assert len(names) == len(set(names))


def test_no_published_value_stands_in_two_files():
    """Four printed digits in one unit are hardly printed twice by chance."""
    files: dict[tuple[str, str], set[str]] = {}
    for case in all_cases():
        digits = re.sub(r"[^0-9]", "", case.shown).lstrip("0")
        if len(digits) >= 4:
            files.setdefault((case.shown.lstrip("-−"), case.unit), set()).add(case.ours.__module__)
    assert len(files) > 70
    assert {value: names for value, names in files.items() if len(names) > 1} == {}


def test_what_is_looser_than_half_a_digit_says_why():
    silent = [
        case.name
        for case in all_cases()
        if case.shown
        and ";" not in case.shown
        and case.tolerance > half_digit(case.shown, case.digits) * (1 + 1e-12)
        and not case.note
    ]
    assert silent == []


def test_what_is_looser_than_a_millionth_says_why_where_nothing_is_printed():
    silent = [c.name for c in all_cases() if c.relative and c.tolerance > 1e-6 and not c.note]
    assert silent == []


def test_every_source_and_case_is_on_the_page(text):
    for case in all_cases():
        assert f"## {case.source}\n" in text
        theirs = figures(case)[0].replace("-", "−")
        assert any(
            case.case in line and case.quantity in line and theirs in line
            for line in text.splitlines()
        ), case.name


def test_the_page_ends_with_what_is_not_validated(text):
    last = text.rpartition("\n## ")[2]
    assert last.startswith("What is not validated")
    for word in ("Slotted discs", "housing", "cushion", "inertia", "Weigh the spring"):
        assert word in last


def test_the_page_comes_out_the_same_twice(text):
    assert page() == text


@pytest.mark.parametrize(
    ("shown", "digits", "half"),
    [
        ("16.23", None, 0.005),
        ("2840", None, 0.5),
        ("2840", 3, 5.0),
        ("1000", 3, 5.0),
        ("39", 3, 0.5),
        ("6.61e-6", None, 5e-9),
        ("−98.01", None, 0.005),
    ],
)
def test_half_the_last_digit(shown, digits, half):
    assert half_digit(shown, digits) == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize(("ours", "holds"), [(1.2349, True), (1.235, True), (1.2351, False)])
def test_a_case_holds_to_half_a_digit_and_no_further(ours, holds):
    assert printed("book", "page", "length", "mm", "1.23", lambda: ours).holds() is holds


def test_a_case_without_an_answer_does_not_hold():
    assert not printed("book", "page", "length", "mm", "1.23", lambda: float("nan")).holds()
