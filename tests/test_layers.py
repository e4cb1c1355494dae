"""Which module may import which: the arrows point down, never up or sideways."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = "optioneer"

LEVELS = {
    "errors": 0,  # leaves: import nothing of ours
    "dates": 0,
    "units": 0,
    "model": 1,  # facts
    "valuation": 1,  # sums
    "money": 1,
    "site": 1,
    "study": 2,  # questions
    "forms": 2,  # facts as sheets of cells
    "files": 3,  # faces
    "reports": 3,
    "charts": 3,
    "app": 4,  # shells
    "cli": 5,  # starts the app, too
    "__main__": 6,
}
"""Level of each room; rooms of one level do not know each other."""

ONLY_IN = {
    "typer": {"cli"},
    "xlsxwriter": {"reports"},
    "openpyxl": {"files.spreadsheet"},
    "altair": {"charts"},
    "vl_convert": {"charts"},
    "streamlit": {"app"},
    "rich": {"cli", "reports.terminal"},
    "scipy.stats.qmc": {"valuation.futures"},
    "networkx": {"site"},
    "pint": {"units"},
    "threadpoolctl": {"study.cores"},
    "jinja2": {"reports.html"},
    "typst": {"reports.pdf"},
    "docx": {"reports.docx"},
    "icalendar": {"reports.calendar"},
    "holidays": {"money.days", "model.payments", "study.workdays"},
}
"""Libraries and the only rooms or modules that may import them."""

NEVER_IN_SUMS = {"pydantic", "pathlib", "io", "time", "datetime", "random", "logging"}
"""Facts, files, clock: what modules of `valuation` and `site` must not know of."""


def modules() -> dict[str, ast.Module]:
    """Syntax trees by dotted name inside the package; ``""`` is the package itself."""
    found = {}
    for file in sorted((ROOT / PACKAGE).rglob("*.py")):
        parts = [*file.relative_to(ROOT / PACKAGE).parts[:-1], file.stem]
        name = ".".join(part for part in parts if part != "__init__")
        found[name] = ast.parse(file.read_text(encoding="utf-8"), str(file))
    return found


MODULES = modules()


def imported(tree: ast.Module) -> Iterator[str]:
    """Dotted names that a module imports, wherever in the file."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out, not relative"
            yield str(node.module)
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def room(module: str) -> str:
    return module.split(".", maxsplit=1)[0]


def own_rooms(tree: ast.Module) -> set[str]:
    names = (name.split(".") for name in imported(tree) if name.startswith(f"{PACKAGE}."))
    return {parts[1] for parts in names if parts[1] in LEVELS}


def within(module: str, places: set[str]) -> bool:
    return any(module == place or module.startswith(f"{place}.") for place in places)


def brings_in(tree: ast.Module, library: str) -> bool:
    return any(name == library or name.startswith(f"{library}.") for name in imported(tree))


@pytest.mark.parametrize("module", [name for name in MODULES if name])
def test_imports_point_down(module: str) -> None:
    level = LEVELS[room(module)]
    others = own_rooms(MODULES[module]) - {room(module)}
    assert {other for other in others if LEVELS[other] >= level} == set()


def test_the_package_itself_imports_nothing_of_ours() -> None:
    assert own_rooms(MODULES[""]) == set()


def test_every_room_of_the_table_exists() -> None:
    assert {room(name) for name in MODULES if name} == set(LEVELS)


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_stays_in_its_rooms(library: str) -> None:
    users = {name for name, tree in MODULES.items() if brings_in(tree, library)}
    assert {user for user in users if not within(user, ONLY_IN[library])} == set()


@pytest.mark.parametrize("library", ONLY_IN)
def test_every_rule_on_a_library_still_has_a_user(library: str) -> None:
    for place in ONLY_IN[library]:
        users = [name for name in MODULES if within(name, {place})]
        assert any(brings_in(MODULES[user], library) for user in users), place


@pytest.mark.parametrize("module", [name for name in MODULES if room(name) == "money"])
def test_sums_of_money_know_dates_but_neither_facts_nor_files(module: str) -> None:
    known = {name for name in NEVER_IN_SUMS - {"datetime"} if brings_in(MODULES[module], name)}
    assert known == set()


@pytest.mark.parametrize(
    "module", [name for name in MODULES if room(name) in {"valuation", "site"}]
)
def test_sums_know_neither_facts_nor_files_nor_clock(module: str) -> None:
    known = {name for name in NEVER_IN_SUMS if brings_in(MODULES[module], name)}
    assert known == set()


@pytest.mark.parametrize("module", [name for name in MODULES if room(name) != "cli"])
def test_only_the_command_line_prints(module: str) -> None:
    for node in ast.walk(MODULES[module]):
        if isinstance(node, ast.Name):
            assert node.id != "print"
        if isinstance(node, ast.Attribute):
            assert node.attr not in {"stdout", "stderr"}


def test_only_the_futures_make_random_numbers() -> None:
    makers = {
        name
        for name, tree in MODULES.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr in {"default_rng", "RandomState"}
    }
    assert makers == {"valuation.futures"}
