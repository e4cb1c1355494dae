"""The code of the package: where its changes are, which functions hold it, how it is replaced."""

import ast
import copy
import gc
import importlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from types import CodeType, FunctionType

from tests.bench.mutants.changes import Change, blocks, changes_of, first_line, functions, put

ROOT = Path(__file__).parents[3]
PACKAGE = "optioneer"
ROOMS = ("valuation", "money", "site", "study")
"""Rooms whose sums are changed."""

REACHED = "__reached__"
"""Name under which the code of a traced function tells where it is."""

Where = tuple[str, str, int]
"""File, qualified name and first line of a function: what its code object says of itself."""


@dataclass(frozen=True)
class Source:
    """One file of the package, its tree and its changes."""

    file: Path

    @cached_property
    def tree(self) -> ast.Module:
        """The syntax tree."""
        return ast.parse(self.file.read_text(encoding="utf-8"))

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """Every change to one of its functions."""
        return tuple(changes_of(self.tree))

    @property
    def module(self) -> str:
        """Dotted name."""
        return ".".join(self.file.relative_to(ROOT).with_suffix("").parts)

    def compiled(self, change: Change) -> CodeType | None:
        """The code of a function with a change in it; none when Python makes the same of both."""
        parent, name, k = change.place
        value = getattr(parent, name)
        old = value if k is None else value[k]
        put(change.place, ast.copy_location(change.node, old))
        try:
            changed = code_of(self.tree, self.file)
        finally:
            put(change.place, old)
        where = (str(self.file), change.function, change.line)
        before = code_of(self.tree, self.file)
        return None if changed[where] == before[where] else changed[where]


def sources() -> tuple[Source, ...]:
    """The files of the rooms, wherever in them they stand."""
    folders = (ROOT / PACKAGE / room for room in ROOMS)
    return tuple(Source(file) for folder in folders for file in sorted(folder.rglob("*.py")))


def code_of(tree: ast.Module, file: Path) -> Mapping[Where, CodeType]:
    """The code objects of a module's functions."""
    whole = compile(ast.fix_missing_locations(tree), str(file), "exec", dont_inherit=True)
    return {_where(code): code for code in _inner(whole)}


def _inner(code: CodeType) -> Iterator[CodeType]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield constant
            yield from _inner(constant)


def _where(code: CodeType) -> Where:
    return code.co_filename, code.co_qualname, code.co_firstlineno


@dataclass(frozen=True)
class Loaded:
    """The functions of the package as they are in this process, however they are decorated."""

    functions: Mapping[Where, list[FunctionType]] = field(default_factory=dict)

    def replace(self, where: Where, code: CodeType) -> None:
        """Let a function do something else from now on."""
        for function in self.functions[where]:
            function.__code__ = code


def loaded(files: Iterable[Source]) -> Loaded:
    """All functions of these files, their modules imported."""
    names = {str(source.file) for source in files}
    for source in files:
        _ = source.tree  # read now, should the file be changed while this runs
        importlib.import_module(source.module)
    found: dict[Where, list[FunctionType]] = {}
    gc.unfreeze()  # what is frozen is not found
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__.co_filename in names:
            found.setdefault(_where(thing.__code__), []).append(thing)
    return Loaded(found)


def block_name(function: str, block: int) -> str:
    """What a block is called in the map of who runs what, wherever its file stands."""
    return f"{function}#{block}"


def trace(files: Iterable[Source], here: Loaded) -> None:
    """Let every block of the package tell when it is run, by calling `REACHED`."""
    for source in files:
        tree = copy.deepcopy(source.tree)
        for name, function in functions(tree):
            for k, block in enumerate(list(blocks(function))):
                told = ast.Constant(f"{source.file.stem}:{block_name(name, k)}")
                call = ast.Call(ast.Name(REACHED, ast.Load()), [told], [])
                block.insert(0, ast.copy_location(ast.Expr(call), block[0]))
        for where, code in code_of(tree, source.file).items():
            if where in here.functions:
                here.replace(where, code)


def ranked(
    files: Iterable[Source], *, seed: int, among: Callable[[Change], bool] = lambda _: True
) -> list[tuple[Source, Change]]:
    """All changes in an order drawn from the seed.

    The draw of a change hangs on what it says and not on where it stands, so that a sample stays
    the same one when files are moved or other functions are changed.
    """
    seen: dict[str, int] = {}
    drawn = []
    for source in files:
        for change in source.changes:
            if not among(change):
                continue
            said = f"{change.function}\n{change.was}\n{change.becomes}"
            seen[said] = seen.get(said, 0) + 1
            mark = sha256(f"{seed}\n{said}\n{seen[said]}".encode()).hexdigest()
            drawn.append((mark, source, change))
    return [(source, change) for _, source, change in sorted(drawn, key=lambda one: one[0])]


__all__ = ["Loaded", "Source", "block_name", "first_line", "loaded", "ranked", "sources", "trace"]
