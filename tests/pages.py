"""The pages for users: the README and ``docs/``, the commands they print and the answers beside."""

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGES = (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))
BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LEFT_OUT = "[...]"
"""A line of a printed answer in whose place lines are left out."""


@dataclass(frozen=True)
class Printed:
    """A command as a page prints it, with the answer that stands below it, if one does."""

    page: str
    words: tuple[str, ...]
    answer: str = ""

    @property
    def passages(self) -> list[str]:
        """What of the answer is printed, without what is left out between."""
        parts = re.split(rf"^ *{re.escape(LEFT_OUT)}$", self.answer, flags=re.MULTILINE)
        return [part.strip("\n") for part in parts if part.strip()]


def printed(page: Path) -> list[Printed]:
    """The commands of a page in order; an answer belongs to the last command above it."""
    found: list[Printed] = []
    for language, text in BLOCK.findall(page.read_text(encoding="utf-8")):
        if language == "text":
            asked = found.pop()
            found.append(Printed(asked.page, asked.words, text))
        else:
            lines = [line for line in text.splitlines() if line.startswith("optioneer ")]
            found += [Printed(page.name, tuple(shlex.split(line)[1:])) for line in lines]
    return found


def all_text() -> str:
    """Everything that the pages say themselves: printed answers are the program's words."""
    said = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)
    return re.sub(r"^```text\n.*?^```$", "", said, flags=re.MULTILINE | re.DOTALL)


def missing_passages(asked: Printed, told: str) -> list[str]:
    """Passages that do not stand in an answer, in their order."""
    missing, at = [], 0
    for passage in asked.passages:
        place = told.find(passage, at)
        if place < 0:
            missing.append(passage)
        else:
            at = place + len(passage)
    return missing
