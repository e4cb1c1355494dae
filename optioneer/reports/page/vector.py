"""A chart's SVG made safe to stand inside a page: known elements and attributes only."""

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement, tostring

from defusedxml.ElementTree import fromstring

SVG = "http://www.w3.org/2000/svg"
ELEMENTS = frozenset(
    {"svg", "g", "path", "rect", "line", "circle", "text", "tspan", "defs", "clipPath"}
)
ATTRIBUTES = frozenset(
    {
        *("d", "x", "y", "x1", "x2", "y1", "y2", "dx", "dy", "r", "cx", "cy", "width", "height"),
        *("transform", "viewBox", "fill", "fill-opacity", "fill-rule", "opacity", "stroke"),
        *("stroke-width", "stroke-dasharray", "stroke-opacity", "stroke-linecap"),
        *("stroke-linejoin", "stroke-miterlimit", "font-size", "font-weight", "font-style"),
        *("font-family", "text-anchor", "clip-path", "id"),
    }
)
_NAMED = re.compile(r"url\(#([\w-]+)\)")


def inert_svg(svg: str, *, told: str, prefix: str, font: str = "sans-serif") -> str:
    """The same drawing without anything that acts, links or loads, as SVG text.

    Parameters
    ----------
    svg
        What a chart library drew; its text may come from a case.
    told
        What the drawing shows, for those who do not see it.
    prefix
        Put before its ids, so that several drawings can stand in one page.
    """
    root = fromstring(svg)
    drawn = Element("svg", {"xmlns": SVG, "role": "img", "aria-label": told})
    drawn.attrib.update(dict(_attributes(root, prefix, font)))
    _copy(root, drawn, prefix, font)
    return tostring(drawn, encoding="unicode")


def _copy(source: Element, target: Element, prefix: str, font: str) -> None:
    for child in source:
        name = str(child.tag).removeprefix(f"{{{SVG}}}")
        if name not in ELEMENTS:
            continue
        copied = SubElement(target, name, dict(_attributes(child, prefix, font)))
        copied.text = child.text
        copied.tail = child.tail
        _copy(child, copied, prefix, font)


def _attributes(element: Element, prefix: str, font: str) -> Iterator[tuple[str, str]]:
    for name, value in element.attrib.items():
        if name not in ATTRIBUTES:
            continue
        if name == "id":
            yield name, f"{prefix}{value}"
        elif name == "font-family":
            yield name, font
        elif "url(" in value:
            named = _NAMED.fullmatch(value.strip())
            if named:
                yield name, f"url(#{prefix}{named[1]})"
        else:
            yield name, value
