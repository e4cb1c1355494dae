"""A page as one self-contained HTML file: no script, nothing loaded from elsewhere."""

from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from optioneer.reports.page.parts import Heading, Page
from optioneer.reports.page.plain_parts import PlainPart, plain_parts
from optioneer.reports.page.printable import printable


def html_paper(page: Page) -> str:
    """`page` as an HTML document with its styles and drawings inside.

    Every text is escaped; a policy in the file forbids scripts and any outside address.
    """
    title = next((part.text for part in page if isinstance(part, Heading)), "")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=False)
    template = files(__package__).joinpath("paper.html.jinja").read_text(encoding="utf-8")
    parts = [_as_markup(part) for part in plain_parts(page)]
    return environment.from_string(template).render(title=printable(title), parts=parts) + "\n"


def _as_markup(part: PlainPart) -> PlainPart:
    """Drawings alone are markup: they were made of known elements by `inert_svg`."""
    if part["kind"] != "picture":
        return part
    return {**part, "svg": Markup(part["svg"])}  # noqa: S704 - inert by construction
