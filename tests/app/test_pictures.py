"""Every picture of every page has what it says behind a click, as a table."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from streamlit.testing.v1.element_tree import Block

import optioneer.app
from tests.app.walks import PAGES, walked

APP = Path(optioneer.app.__file__).parent
SHAPES = ('class="verdicts"', 'class="road"', 'class="floor"', 'class="moves"')
"""What tells a picture of our own shapes from other HTML."""

PICTURES = {"answer": 4, "buyer": 1, "owner": 3, "bookkeeper": 2, "first_chips": 3}
"""At least so many on each page that has any, of the small mill without the floor's sizes."""


def blocks(block: Block) -> Iterator[Block]:
    for child in block.children.values():
        if isinstance(child, Block):
            yield child
            yield from blocks(child)


def bodies(block: Block) -> Iterator[str]:
    """The HTML in a block and below."""
    for child in block.children.values():
        if isinstance(child, Block):
            yield from bodies(child)
        elif child.type == "html":
            yield str(child.proto.body)


def pictures_in(block: Block) -> int:
    """Pictures that stand in a block itself."""
    kinds = [child for child in block.children.values() if not isinstance(child, Block)]
    charts = sum("vega" in child.type for child in kinds)
    shapes = [str(child.proto.body) for child in kinds if child.type == "html"]
    return charts + sum(any(shape in body for shape in SHAPES) for body in shapes)


def has_tables(block: Block) -> bool:
    """Whether a click in a block opens a table."""
    folded = [one for one in block.children.values() if isinstance(one, Block)]
    folded = [one for one in folded if one.type in {"expander", "expandable"}]
    return any("<table" in body for one in folded for body in bodies(one))


@pytest.mark.parametrize("word", PAGES)
def test_what_every_picture_says_stands_behind_it_as_a_table(word: str) -> None:
    test = walked(word)
    drawn = [(pictures_in(block), block) for block in [test.main, *blocks(test.main)]]
    assert sum(count for count, _ in drawn) >= PICTURES.get(word, 0)
    bare = [list(block.children.values()) for n, block in drawn if n and not has_tables(block)]
    assert bare == []


def test_only_one_place_draws_charts_and_it_asks_for_the_tables() -> None:
    drawers = {"vega_lite_chart", "altair_chart", "line_chart", "bar_chart", "pyplot", "graphviz"}
    callers = {
        path.relative_to(APP).as_posix()
        for path in APP.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in drawers
    }
    assert callers == {"parts/show.py"}
