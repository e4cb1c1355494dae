"""Lists, mappings and calendars changed at random: each is taken whole or refused in a sentence.

The same seed gives the same changes. The numbers of trials are those of the benches; the suite
takes a sample.
"""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from itertools import chain
from pathlib import Path
from random import Random

from optioneer.errors import OptioneerError
from optioneer.files.quote.mapping import (
    COLUMNS,
    MACHINE,
    SKIP,
    QuoteMapping,
    mapping_text,
    read_mapping,
)
from optioneer.files.quote.proposal import proposal, with_quote
from optioneer.model.case import Case
from optioneer.model.checks.consistency import checked
from optioneer.reports.faces.calendar import calendar_file
from optioneer.reports.page.money import Figures
from optioneer.study.papers.diary import Event

LISTS, MAPPINGS, CALENDARS = 800, 1554, 1500
"""How many of each the benches try."""

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
LATER = NOW + timedelta(days=3)

BYTES = (
    *(b"", b'"', b"\0", b";", b",", b"\t", b"\xff", b"9", b"-", b".", b"(", b"\r\n", b" "),
    *(
        b"-1500",
        b"1000000000000",
        b"1e999",
        b"4.200",
        b"1.2000",
        "\u20ac".encode(),
        b"=",
        b"[",
        b"]",
    ),
)
PIECES = tuple(
    piece.encode()
    for piece in (
        *(
            'decimal = ["."]\n',
            "decimal = 4\n",
            'decimal = ","\n',
            "[lines]\n",
            "[columns]\n",
            "# ",
        ),
        *(
            'price = "\u20ac"\n',
            'price = ""\n',
            'price = "column 1"\n',
            'name = "Price"\n',
            "x = []\n",
        ),
        *('"" = "base_price"\n', '"Sub-spindle" = ""\n', '"\\u0007" = ""\n', "\u2028", "0", "''"),
        *('"', "=", "]", "[[", "true", "1979-05-27", "inf", "\0"),
    )
)
ODD = ("", " ", "\u20ac", "column 1", "column 2", "column 99", "=1+1", "\u202e", "a.b", "x" * 300)
FOLDED = (
    *(b"", b"\0", b":", b";", b"\xff", b"9", b"-", b"\r\n", b"BEGIN:VEVENT\r\n", b"END:VEVENT\r\n"),
    *(b"BEGIN:VALARM\r\n", b"X", b"=", b'"', b"VALUE=DATE", b"TZID=x", b"CANCELLED", b" ", b"\\"),
)


def changed(whole: bytes, draw: Random, pieces: Sequence[bytes]) -> bytes:
    """The same with a few pieces put in the place of others, lines lost or mixed, or cut short."""
    data = bytearray(whole)
    for _ in range(draw.randint(1, 5)):
        place = draw.randrange(len(data) + 1)
        data[place : place + draw.randint(0, 6)] = draw.choice(pieces)
    if draw.random() < 0.1:
        del data[draw.randrange(len(data) + 1) :]
    if draw.random() < 0.2:
        lines = bytes(data).splitlines(keepends=True) or [b""]
        lines.pop(draw.randrange(len(lines)))
        draw.shuffle(lines) if draw.random() < 0.3 else None
        return b"".join(lines)
    return bytes(data)


def outcomes(trials: int, seed: int, trial: Callable[[Random], str]) -> Counter[str]:
    """How many trials ended how; anything but a refusal in a sentence goes on as it was raised."""
    found: Counter[str] = Counter()
    for number in range(trials):
        try:
            found[trial(Random(f"{seed} {number}"))] += 1  # noqa: S311 - repeatable on purpose
        except OptioneerError as error:
            found["refused" if str(error).strip() else "refused without a reason"] += 1
    return found


def list_trial(whole: Sequence[bytes], case: Case) -> Callable[[Random], str]:
    """Takes a changed list in: what has no question gives a case that holds."""

    def trial(draw: Random) -> str:
        return _taken(changed(draw.choice(whole), draw, BYTES), case, QuoteMapping())

    return trial


def mapping_trial(whole: Sequence[bytes], case: Case, folder: Path) -> Callable[[Random], str]:
    """Takes a list in by a mapping file: the proposed one changed, or one of random answers."""

    def trial(draw: Random) -> str:
        data = draw.choice(whole)
        first = proposal(data, case)
        if draw.random() < 0.5:
            text = changed(mapping_text(first.mapping, first.guesses).encode(), draw, PIECES)
        else:
            text = mapping_text(_answers(draw, data, case), {}).encode()
        (folder / "m.toml").write_bytes(text)
        return _taken(data, case, read_mapping(folder / "m.toml", list(case.catalogue.by_id)))

    return trial


def _answers(draw: Random, data: bytes, case: Case) -> QuoteMapping:
    """A mapping in good form of cells of the list, ids of the case and odd texts."""
    words = [
        word for word in re.split(r"[;,|\t\r\n\0]", data.decode("latin-1")) if word.isprintable()
    ]
    texts = [*words, *ODD]
    ids = [*case.catalogue.by_id, MACHINE, SKIP]
    kinds = draw.sample(COLUMNS, draw.randint(0, 3))
    return QuoteMapping(
        decimal=draw.choice(["", ".", ","]),
        columns={kind: draw.choice(texts) for kind in kinds},
        lines={draw.choice(texts): draw.choice(ids) for _ in range(draw.randint(0, 4))},
    )


def _taken(data: bytes, case: Case, mapping: QuoteMapping) -> str:
    found = proposal(data, case, mapping=mapping)
    mapping_text(found.mapping, found.guesses)
    if found.answer.questions:
        return "asked"
    checked(with_quote(case, found.answer))
    return "taken"


def calendar_trial(events: Sequence[Event]) -> Callable[[Random], str]:
    """Writes over a changed calendar: what is taken is a calendar that writing again keeps."""
    figures = Figures("EUR")
    whole = calendar_file("demo", events, figures, now=NOW)

    def trial(draw: Random) -> str:
        before = changed(whole, draw, FOLDED)
        made = calendar_file("demo", events, figures, now=LATER, before=before)
        assert calendar_file("demo", events, figures, now=LATER, before=made) == made
        return "taken"

    return trial


def lists_of(texts: Sequence[bytes]) -> tuple[bytes, ...]:
    """Lists worth changing: all that are texts."""
    return tuple(chain(one for one in texts if not one.startswith(b"PK")))
