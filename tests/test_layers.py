"""Which module may import which: the arrows point down, never up, sideways or in a circle."""

import ast
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = "optioneer"

LEVELS = {
    "arrays": 0,
    "errors": 0,  # leaves: import nothing of ours
    "dates": 0,
    "units": 0,
    "standard_files": 0,
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
    "start": 6,  # the way in
    "__main__": 7,
}
"""Level of each room; rooms of one level do not know each other."""

INSIDE = {
    "model": {
        "fact": 0,
        "kinds": 1,
        "catalogue": 2,
        "growth": 1,
        "machine": 1,
        "tax_years": 1,
        "origin": 2,
        "when": 2,
        "works": 2,
        "terms": 3,
        "paying": 4,
        "site": 3,
        "case": 5,
        "sources": 6,
        "checks": 7,
    },
    "valuation": {
        "hours": 1,
        "worlds": 1,
        "lattice": 2,
        "figures": 2,
        "acting": 4,
        "news": 3,
        "timing": 3,
        "large": 4,
        "choice": 4,
        "cache": 4,
        "shared_hours": 5,
        "dual": 5,
    },
    "study": {
        "answer": 0,
        "needs": 1,
        "ready": 2,
        "cash": 3,
        "problem": 4,
        "search": 5,
        "site_costs": 5,
        "worth": 6,
        "unknowns": 7,
        "advice": 8,
        "account": 9,
        "acting": 9,
        "compare": 9,
        "whatif": 9,
        "many": 9,
        "record": 9,
        "dealer": 9,
        "start": 9,
        "bargain": 10,
        "asking": 10,
        "papers": 11,
    },
    "files": {
        "cache": 0,
        "plain": 0,
        "saving": 1,
        "batch": 2,
        "record": 2,
        "case": 2,
        "grid": 3,
        "workbook": 3,
        "quote": 3,
    },
    "reports": {
        "page": 0,
        "faces": 1,
        "advice": 1,
        "cash": 1,
        "ready": 1,
        "sheets": 1,
        "rows": 2,
        "asking": 2,
        "papers": 3,
    },
    "app": {
        "apart": 0,
        "engine": 1,
        "session": 2,
        "parts": 3,
        "order": 4,
        "dealer": 4,
        "handover": 4,
        "play": 4,
        "questions": 4,
        "road": 4,
        "money": 4,
        "views": 5,
        "launch": 6,
        "main": 6,
        "script": 7,
    },
}
"""Level of each sub-room of a room; those of one level do not know each other either."""

ONLY_IN = {
    "typer": {"cli"},
    "xlsxwriter": {"reports.sheets"},
    "openpyxl": {"files.plain.spreadsheet"},
    "altair": {"charts"},
    "vl_convert": {"charts"},
    "streamlit": {"app"},
    "uvicorn": {"app.engine.server"},
    "starlette": {"app.engine.server"},
    "rich": {"cli", "reports.faces.terminal"},
    "pint": {"units"},
    "threadpoolctl": {"study.problem.cores"},
    "distributed": {"cli.many.workers"},
    "jinja2": {"reports.faces.html"},
    "typst": {"reports.faces.pdf"},
    "docx": {"reports.faces.docx"},
    "icalendar": {"reports.faces.calendar"},
    "regex": {"charts"},
    "holidays": {"money.days", "model.checks.payments", "study.ready.calendar"},
}
"""Libraries and the only rooms or modules that may import them."""

PRINTERS = {"cli", "standard_files"}
"""Who may touch standard output and errors."""

NEVER_IN_SUMS = {"pydantic", "pathlib", "io", "time", "datetime", "random", "logging"}
"""Facts, files, clock: what modules of `valuation` and `site` must not know of."""

MOST_FILES, MOST_LINES = 15, 2700
"""What one room may hold: more, and it answers two questions."""

SHORT = 40
"""Lines below which a file wants a reason to stand alone."""

SHORT_FOR_A_REASON = {
    "__main__": "what `python -m` runs",
    "app.script": "what the server runs",
    "files.case.shapes": "what the writer of files and the grid share",
    "files.grid.sheet_list": "the order of the grid, data",
    "app.dealer.bargain_view": "one part of a page",
    "app.engine.drawings": "asked by the command line and by a page",
    "app.parts.hours_view": "one part of several pages",
    "app.parts.missing_part": "one part of several pages",
    "app.views.decide": "a page, which only puts its parts together",
    "app.parts.uploads": "one part of several pages",
    "files.case.part": "what all readers of a file return",
    "files.saving.folder": "shared by all that make a folder for what they write",
    "model.checks.circles": "shared by two checks",
    "model.checks.reliance": "asked by reports and studies",
    "money.discount": "what rates, payments and the site all reckon with",
    "model.origin": "a fact of a case, below it; what is asked of all of them stands above it",
    "reports.faces.html": "one face",
    "arrays": "the kinds of arrays of all sums",
    "site.startup": "one sum of its own kind",
    "valuation.worlds.swings": "one sum of its own kind",
}
"""Files of fewer lines, and why."""


@cache
def modules() -> dict[str, ast.Module]:
    """Syntax trees by dotted name inside the package; ``""`` is the package itself.

    Read when a test asks, not by every process that only looks for tests.
    """
    found = {}
    for file in sorted((ROOT / PACKAGE).rglob("*.py")):
        parts = [*file.relative_to(ROOT / PACKAGE).parts[:-1], file.stem]
        name = ".".join(part for part in parts if part != "__init__")
        found[name] = ast.parse(file.read_text(encoding="utf-8"), str(file))
    return found


ROOMS = sorted({file.parent for file in (ROOT / PACKAGE).rglob("*.py")})


@cache
def nodes_of(tree: ast.Module) -> tuple[ast.AST, ...]:
    """All that stands in a module: walked through once, asked for by many tests."""
    return tuple(ast.walk(tree))


@cache
def imported(tree: ast.Module) -> frozenset[str]:
    """Dotted names that a module imports: late ones and those for type checkers, too."""
    return frozenset(_imported(tree))


def _imported(tree: ast.Module) -> Iterator[str]:
    for node in nodes_of(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out, not relative"
            yield str(node.module)
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def own(tree: ast.Module) -> Iterator[str]:
    """Modules of ours that a module imports, by dotted name inside the package."""
    for node in nodes_of(tree):
        if isinstance(node, ast.ImportFrom) and str(node.module).split(".")[0] == PACKAGE:
            place = str(node.module).removeprefix(PACKAGE).removeprefix(".")
            for alias in node.names:
                inner = f"{place}.{alias.name}".removeprefix(".")
                yield inner if inner in modules() else place


def room(module: str) -> str:
    return module.split(".", maxsplit=1)[0]


def sub_room(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def own_rooms(tree: ast.Module) -> set[str]:
    names = (name.split(".") for name in imported(tree) if name.startswith(f"{PACKAGE}."))
    return {parts[1] for parts in names if parts[1] in LEVELS}


def within(module: str, places: set[str]) -> bool:
    return any(module == place or module.startswith(f"{place}.") for place in places)


def brings_in(tree: ast.Module, library: str) -> bool:
    return any(name == library or name.startswith(f"{library}.") for name in imported(tree))


def test_imports_point_down() -> None:
    breaches = {
        (module, other)
        for module in filter(None, modules())
        for other in own_rooms(modules()[module]) - {room(module)}
        if LEVELS[other] >= LEVELS[room(module)]
    }
    assert breaches == set()


def test_imports_point_down_inside_a_room() -> None:
    breaches = {
        (module, name)
        for module in modules()
        if sub_room(module) and room(module) in INSIDE
        for name in own(modules()[module])
        if room(name) == room(module) and sub_room(name) not in {"", sub_room(module)}
        if not _below(name, module)
    }
    assert breaches == set()


def _below(name: str, module: str) -> bool:
    levels = INSIDE[room(module)]
    return levels[sub_room(name)] < levels[sub_room(module)]


def test_no_imports_run_in_a_circle() -> None:
    graph = {
        name: {other for other in own(tree) if other != name} for name, tree in modules().items()
    }
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(f"a circle: {error.args[1]}")


def test_only_the_face_of_the_library_is_imported_by_the_package_itself() -> None:
    assert own_rooms(modules()[""]) <= {"errors", "files", "model", "study"}


def test_every_room_of_the_tables_exists() -> None:
    assert {room(name) for name in modules() if name} == set(LEVELS)
    for place, levels in INSIDE.items():
        assert {sub_room(n) for n in modules() if room(n) == place} - {""} == set(levels), place


@pytest.mark.parametrize("folder", ROOMS, ids=lambda folder: folder.relative_to(ROOT).as_posix())
def test_a_room_answers_one_question(folder: Path) -> None:
    files = [file for file in folder.glob("*.py") if file.name != "__init__.py"]
    lines = sum(len(file.read_text(encoding="utf-8").splitlines()) for file in files)
    assert len(files) <= MOST_FILES
    assert lines <= MOST_LINES
    assert ast.get_docstring(ast.parse((folder / "__init__.py").read_text(encoding="utf-8")))


def test_a_short_file_has_a_reason() -> None:
    short = {
        name
        for name, tree in modules().items()
        if not (ROOT / PACKAGE / name.replace(".", "/")).is_dir()
        and max((node.end_lineno or 0 for node in tree.body), default=0) < SHORT
    }
    assert short == set(SHORT_FOR_A_REASON)


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_stays_in_its_rooms(library: str) -> None:
    users = {name for name, tree in modules().items() if brings_in(tree, library)}
    assert {user for user in users if not within(user, ONLY_IN[library])} == set()


@pytest.mark.parametrize("library", ONLY_IN)
def test_every_rule_on_a_library_still_has_a_user(library: str) -> None:
    for place in ONLY_IN[library]:
        users = [name for name in modules() if within(name, {place})]
        assert any(brings_in(modules()[user], library) for user in users), place


def known_in(rooms: set[str], libraries: set[str]) -> set[tuple[str, str]]:
    """Which modules of some rooms bring in which of some libraries."""
    inside = [name for name in modules() if room(name) in rooms]
    assert inside
    return {
        (each, name) for each in inside for name in libraries if brings_in(modules()[each], name)
    }


def test_sums_of_money_know_dates_but_neither_facts_nor_files() -> None:
    assert known_in({"money"}, NEVER_IN_SUMS - {"datetime"}) == set()


def test_sums_know_neither_facts_nor_files_nor_clock() -> None:
    assert known_in({"valuation", "site"}, NEVER_IN_SUMS) == set()


def test_only_the_command_line_prints() -> None:
    printers = {
        module
        for module, tree in modules().items()
        if room(module) not in PRINTERS
        for node in nodes_of(tree)
        if (isinstance(node, ast.Name) and node.id == "print")
        or (isinstance(node, ast.Attribute) and node.attr in {"stdout", "stderr"})
    }
    assert printers == set()


def test_only_the_futures_make_random_numbers() -> None:
    makers = {
        name
        for name, tree in modules().items()
        for node in nodes_of(tree)
        if isinstance(node, ast.Attribute) and node.attr in {"default_rng", "RandomState"}
    }
    assert makers == {"valuation.worlds.futures"}
