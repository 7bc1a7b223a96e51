"""Every check in tests/ must be able to fail: what can be seen of that from the source alone.

A comparison whose value is dropped checks nothing, nor does a test without an assertion, nor one
that is skipped. Whether an assertion is sharp enough is for other tests to show.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parents[1]

TRUTH_FUNCTIONS = {"allclose", "isclose", "array_equal", "array_equiv", "approx"}
TRUTH_FUNCTIONS |= {"all", "any", "isfinite", "isnan", "isinstance", "issubset", "issuperset"}
TRUTH_FUNCTIONS |= {"startswith", "endswith"}
"""Functions that answer yes or no (approx: half of a comparison) and do nothing else."""

EXPECTING_FUNCTIONS = {"raises", "warns"}
LEFT_OUT_WORDS = {"skip", "skipif", "xfail", "importorskip", "SkipTest", "skipIf", "skipUnless"}
LEFT_OUT_WORDS |= {"expectedFailure"}
HIDING_NAMES = {"collect_ignore", "collect_ignore_glob", "__test__"}

FunctionNode = ast.FunctionDef | ast.AsyncFunctionDef


def name_of(node: ast.AST) -> str:
    """Return the last word of a name or of a dotted expression, empty for anything else."""
    if isinstance(node, ast.Attribute):
        return node.attr
    return node.id if isinstance(node, ast.Name) else ""


def belongs_to(node: ast.AST, library: str, tree: ast.Module) -> bool:
    """Tell whether a name was reached through, or imported from, a library such as "pytest"."""
    if isinstance(node, ast.Attribute):
        return ast.unparse(node.value) in {library, library.replace("numpy", "np")}
    return any(
        isinstance(found, ast.ImportFrom)
        and found.module == library
        and name_of(node) in {alias.asname or alias.name for alias in found.names}
        for found in ast.walk(tree)
    )


# --- a value nobody looks at ---


def only_tells(node: ast.AST) -> bool:
    """Tell whether an expression has no effect but its answer."""
    if isinstance(node, ast.Compare):
        return True
    if isinstance(node, ast.BoolOp):
        return all(only_tells(value) for value in node.values)
    if isinstance(node, ast.UnaryOp):
        return only_tells(node.operand)
    if isinstance(node, ast.Await):
        return only_tells(node.value)
    if not isinstance(node, ast.Call):
        return False
    is_idle_raises = name_of(node.func) in EXPECTING_FUNCTIONS and len(node.args) < 2
    return name_of(node.func) in TRUTH_FUNCTIONS or is_idle_raises


def dropped_answers(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and only_tells(node.value):
            yield f"{node.lineno}: {ast.unparse(node)!r} is worked out and dropped; assert it"


def idle_assertions(tree: ast.Module) -> Iterator[str]:
    """Yield assertions that hold whatever the code does."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Assert):
            test = node.test
            is_full_tuple = isinstance(test, ast.Tuple) and bool(test.elts)
            is_true = isinstance(test, ast.Constant) and bool(test.value)
            is_approx = isinstance(test, ast.Call) and name_of(test.func) == "approx"
            if is_full_tuple or is_true or is_approx:
                yield f"{node.lineno}: {ast.unparse(node)!r} always holds"


# --- a test without a check ---


def nodes_that_run(function: FunctionNode) -> Iterator[ast.AST]:
    """Yield the nodes of a function; those of an inner function only if it is named somewhere."""
    named = {
        node.id
        for node in ast.walk(function)
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load)
    }
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, FunctionNode | ast.ClassDef) and node.name not in named:
            continue
        yield node
        waiting.extend(ast.iter_child_nodes(node))


def waits_for_something(function: ast.expr, tree: ast.Module) -> bool:
    """Tell whether a call is `expect(...).to_...`, which fails where a page never gets there."""
    return (
        isinstance(function, ast.Attribute)
        and function.attr.startswith(("to_", "not_to_"))
        and isinstance(function.value, ast.Call)
        and name_of(function.value.func) == "expect"
        and belongs_to(function.value.func, "sites", tree)
    )


def checks_something(
    function: FunctionNode, tree: ast.Module, seen: frozenset[str] = frozenset()
) -> bool:
    """Tell whether a function asserts, itself or through an assert_ or check_ of its own file."""
    helpers = {
        node.name: node
        for node in ast.walk(tree)
        if isinstance(node, FunctionNode) and node.name.startswith(("assert_", "check_"))
    }
    seen = seen | {function.name}
    for node in nodes_that_run(function):
        if isinstance(node, ast.Assert):
            return True
        if not isinstance(node, ast.Call):
            continue
        called = name_of(node.func)
        if called in EXPECTING_FUNCTIONS and belongs_to(node.func, "pytest", tree):
            return True
        if waits_for_something(node.func, tree):
            return True
        if called.startswith("assert_") and belongs_to(node.func, "numpy.testing", tree):
            return True
        helper = helpers.get(called)
        if helper and called not in seen and checks_something(helper, tree, seen):
            return True
    return False


def unchecked_tests(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if (
            isinstance(node, FunctionNode)
            and node.name.startswith("test")  # what pytest goes by
            and not checks_something(node, tree)
        ):
            yield f"{node.lineno}: {node.name} asserts nothing, so it cannot fail"


# --- a test left out ---


def left_out_tests(tree: ast.Module) -> Iterator[str]:
    advice = "a test is repaired or removed, not left out"
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and node.attr in LEFT_OUT_WORDS:
            yield f"{node.lineno}: {ast.unparse(node)}; {advice}"
        elif isinstance(node, ast.ImportFrom) and node.module in {"pytest", "unittest"}:
            for alias in node.names:
                if alias.name in LEFT_OUT_WORDS:
                    yield f"{node.lineno}: {alias.name} imported from {node.module}; {advice}"
        elif (
            isinstance(node, ast.Name)
            and isinstance(node.ctx, ast.Store)
            and node.id in HIDING_NAMES
        ):
            yield f"{node.lineno}: {node.id} hides tests; {advice}"


Rule = Callable[[ast.Module], Iterator[str]]
RULES: list[Rule] = [dropped_answers, idle_assertions, unchecked_tests, left_out_tests]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_the_tests_keep_the_rule(rule: Rule) -> None:
    files = sorted(TESTS.rglob("*.py"))
    assert Path(__file__).resolve() in files
    breaches = [
        f"tests/{path.relative_to(TESTS)}:{breach}"
        for path in files
        for breach in rule(ast.parse(path.read_text(), str(path)))
    ]
    assert not breaches, "\n" + "\n".join(breaches)


BAD: list[tuple[Rule, str]] = [
    (dropped_answers, "def test_a():\n    assert f()\n    x == 1"),
    (dropped_answers, "def test_a():\n    assert f()\n    1 < x < 2"),
    (dropped_answers, "def test_a():\n    assert f()\n    x == 1 and y == 2"),
    (dropped_answers, "def test_a():\n    assert f()\n    not x == 1"),
    (dropped_answers, "def test_a():\n    assert f()\n    np.allclose(x, y)"),
    (dropped_answers, "def test_a():\n    assert f()\n    math.isclose(x, y)"),
    (dropped_answers, "def test_a():\n    assert f()\n    isclose(x, y)"),
    (dropped_answers, "def test_a():\n    assert f()\n    (x == y).all()"),
    (dropped_answers, "def test_a():\n    assert f()\n    pytest.approx(x)"),
    (dropped_answers, "def test_a():\n    assert f()\n    pytest.raises(ValueError)"),
    (dropped_answers, "def check_a(x):\n    if x:\n        x.y == 3"),
    (idle_assertions, "def test_a():\n    assert True"),
    (idle_assertions, "def test_a():\n    assert (x == 1, 'one')"),
    (idle_assertions, "def test_a():\n    assert pytest.approx(x)"),
    (unchecked_tests, "def test_a():\n    f()"),
    (unchecked_tests, "async def test_a():\n    await f()"),
    (unchecked_tests, "class TestA:\n    def test_a(self):\n        f()"),
    (unchecked_tests, "def test_a():\n    check_b()"),
    (unchecked_tests, "def check_b():\n    f()\ndef test_a():\n    check_b()"),
    (unchecked_tests, "def verify():\n    assert f()\ndef test_a():\n    verify()"),
    (unchecked_tests, "def check_b():\n    check_b()\ndef test_a():\n    check_b()"),
    (unchecked_tests, "def test_a():\n    def inner():\n        assert f()"),
    (unchecked_tests, "def test_a(spy):\n    spy.assert_called()"),
    (unchecked_tests, "def test_a(thing):\n    thing.raises(ValueError)(f, 1)"),
    (left_out_tests, "@pytest.mark.skip\ndef test_a():\n    assert f()"),
    (left_out_tests, "@pytest.mark.skipif(x, reason='y')\ndef test_a():\n    assert f()"),
    (left_out_tests, "@pytest.mark.xfail(strict=True)\ndef test_a():\n    assert f()"),
    (left_out_tests, "def test_a():\n    pytest.skip('later')\n    assert f()"),
    (left_out_tests, "def test_a():\n    pytest.importorskip('x')\n    assert f()"),
    (left_out_tests, "from pytest import skip"),
    (left_out_tests, "from unittest import SkipTest"),
    (left_out_tests, "pytestmark = pytest.mark.skip"),
    (left_out_tests, "row = pytest.param(1, marks=pytest.mark.xfail)"),
    (left_out_tests, "collect_ignore = ['test_a.py']"),
]

GOOD: list[str] = [
    "def test_a():\n    x = f()\n    assert x == 1",
    "def test_a():\n    assert np.allclose(f(), 1.0)",
    "def test_a():\n    f() or g()\n    assert h()",
    "def test_a():\n    with pytest.raises(ValueError, match='x'):\n        f()",
    "def test_a():\n    pytest.raises(ValueError, f)",
    "from pytest import raises\ndef test_a():\n    with raises(ValueError):\n        f()",
    "def test_a():\n    np.testing.assert_allclose(f(), 1.0)",
    "from numpy.testing import assert_allclose\ndef test_a():\n    assert_allclose(f(), 1.0)",
    "def check_b():\n    assert f()\ndef test_a():\n    check_b()",
    "def assert_c():\n    assert f()\ndef check_b():\n    assert_c()\ndef test_a():\n    check_b()",
    "def test_a():\n    def inner():\n        assert f()\n    inner()",
    "def helper():\n    return x == 1",
]


@pytest.mark.parametrize(
    ("rule", "source"),
    BAD,
    ids=[f"{rule.__name__}-{number}" for number, (rule, _) in enumerate(BAD)],
)
def test_a_bad_example_is_found_by_its_rule_alone(rule: Rule, source: str) -> None:
    found = [each for each in RULES for _ in each(ast.parse(source))]
    assert found == [rule]


@pytest.mark.parametrize("source", GOOD)
def test_a_good_example_is_let_through(source: str) -> None:
    assert [breach for rule in RULES for breach in rule(ast.parse(source))] == []


def test_every_rule_has_a_bad_example() -> None:
    assert {rule for rule, _ in BAD} == set(RULES)
